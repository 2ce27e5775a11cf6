import { NETWORK_ERRORS, type PointErrors } from '../gait/pointErrors.ts';
import { quadrature } from '../gait/statistics.ts';
import { limbSide, type Limb, type PointName, type Side } from '../points.ts';

/** SDs along the horse and upwards, withers heights. */
export interface Sds {
  readonly forward: number;
  readonly up: number;
}

export const PARTS = [
  ...(['muzzle', 'poll', 'withers', 'croup', 'tailhead', 'pointOfShoulder'] as const),
  ...(['knee', 'hock', 'fetlock', 'toe'] as const),
] as const;
export type Part = (typeof PARTS)[number];

/** What all pictures of one stand share: it stays however many of them are averaged. */
export type StandErrors = Readonly<Record<Part, Sds>>;

const even = (sd: number): Sds => ({ forward: sd, up: sd });

/**
 * Of the body's heights and the toes: the errors of walks (src/gait/pointErrors.ts). A stand is a single stance, so that
 * the toe's forward error is that of the pass and of its stance together; upwards the table there leaves .70 % to the
 * stance (.95 % within, less .5 % of the label and .4 % from frame to frame).
 *
 * Of all else: photographs of the `val` part, of versions 3 and 4 of the network the larger figure. Forward SDs of withers,
 * croup and poll: the same measurement (4.15, 2.25, 1.95 %). Of the others only the median distance is known
 * (models/horse-keypoints/CARD.md: muzzle 1.9 %, fetlocks 1.6, knees 1.8, tailhead 2.0, point of shoulder 3.0), which is
 * 1.18 SDs of either direction if both are alike; of hocks the 85 - 95 % within 5 %, which is 2.6 to 2.0 % in the same way.
 * How much of theirs differs from frame to frame is not known: none is thought to. Measure anew with every version.
 */
export const standErrors = (base: PointErrors): StandErrors => ({
  muzzle: even(0.016),
  poll: { forward: 0.0195, up: base.pollUp },
  withers: { forward: 0.0415, up: base.withersUp },
  croup: { forward: 0.0225, up: base.croupUp },
  tailhead: even(0.017),
  pointOfShoulder: even(0.0255),
  knee: even(0.0155),
  hock: even(0.024),
  fetlock: even(0.0135),
  toe: {
    forward: quadrature(base.toeForward, base.toeForwardOfStance),
    up: quadrature(base.toeUp, 0.007),
  },
});
export const NETWORK_STAND_ERRORS = standErrors(NETWORK_ERRORS);

/** A point put right by hand: toes repeat to .5 - 1 % by the same eye, our labels; the body's points to about 1 %. */
const BY_HAND: Sds = even(0.0075);

/**
 * What differs from frame to frame: SD of hoof x, y in stance (measured on the trajectories published by Niknejad et al.
 * 2023, J ASABE 66:865), taken for the whole limb; the body's as that of the sure ones.
 */
const OF_FRAME = {
  body: { forward: 0.004, up: 0.004 },
  near: { F: { forward: 0.0042, up: 0.004 }, H: { forward: 0.0039, up: 0.0038 } },
  far: { F: { forward: 0.0097, up: 0.007 }, H: { forward: 0.0066, up: 0.0051 } },
} as const;

/** The limb of a point below the elbow or stifle; null for points of the body. */
export function limbOf(name: PointName): Limb | null {
  const match = /^(left|right)_(fore|hind)_/.exec(name);
  return match && (`${match[1] === 'left' ? 'L' : 'R'}${match[2] === 'fore' ? 'F' : 'H'}` as Limb);
}

function partOf(name: PointName): Part | null {
  if (name === 'point_of_shoulder') return 'pointOfShoulder';
  const part = name.replace(/^(left|right)_(fore|hind)_/, '').replace('hoof', 'toe');
  return PARTS.find((one) => one === part) ?? null;
}

/** SDs of a point, withers heights, averaged over `looks` independent frames; null for points no measure needs. */
export function pointSds(
  name: PointName,
  nearSide: Side,
  looks: number,
  isByHand: boolean,
  errors: StandErrors,
): Sds | null {
  const part = partOf(name);
  const limb = limbOf(name);
  if (part === null) return null;
  const own = isByHand ? BY_HAND : errors[part];
  const frame = limb
    ? OF_FRAME[limbSide(limb) === nearSide ? 'near' : 'far'][limb.endsWith('F') ? 'F' : 'H']
    : OF_FRAME.body;
  const mean = (sd: number): number => (isByHand ? 0 : sd / Math.sqrt(Math.max(1, looks)));
  return { forward: quadrature(own.forward, mean(frame.forward)), up: quadrature(own.up, mean(frame.up)) };
}
