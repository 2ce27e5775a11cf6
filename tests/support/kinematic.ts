/**
 * A led horse walking past a pinhole camera, with exact truth. Nothing of src/gait is used here: prints are laid out
 * along the path, swings follow a velocity with power-law ramps (another shape than the detector assumes), the heel
 * lifts before the toe, trunk and head bob, near and far hooves stand on either side of the body's line.
 * Frames of reference: path m (s along, w towards the camera, z up), picture px (x right, y down).
 */
import {
  FETLOCK,
  HOOF,
  KNEE_OR_HOCK,
  LIMBS,
  POINT_NAMES,
  type Limb,
  type PointName,
  type Side,
} from '../../src/points.ts';
import {
  bodyAt,
  bodyOf,
  footfalls,
  limbPlaces,
  numbers,
  WALK,
  type Body,
  type TrueStance,
  type WalkOptions,
} from './kinematicLaws.ts';
import type { ObservedFrame, Track, TrackPoint } from '../../src/track/types.ts';

/**
 * SD of hoof x / y in stance, % of withers height: near fore, near hind, far hind, far fore (measured on the
 * trajectories published by Niknejad et al. 2023, J ASABE 66:865).
 */
const NOISE_PCT = {
  near: { F: [0.42, 0.4], H: [0.39, 0.38] },
  far: { F: [0.97, 0.7], H: [0.66, 0.51] },
} as const;
const BODY_NOISE_PCT = [0.35, 0.35] as const;

export { numbers, WALK, type TrueStance, type WalkOptions };

export interface Walk {
  readonly options: WalkOptions;
  readonly frames: ObservedFrame[];
  readonly track: Track;
  readonly stances: TrueStance[];
  /** All footfalls, those before and after the pictures as well. */
  readonly falls: TrueStance[];
  readonly speedMps: number;
}

/** Picture px of a place: still pinhole camera, tilted downwards or level, looking at the path's point s = 0. */
export function project(o: WalkOptions, s: number, w: number, z: number): { x: number; y: number } {
  const a = (o.obliquityDeg * Math.PI) / 180;
  const f = o.focalShare * Math.max(o.widthPx, o.heightPx);
  const sign = o.direction === 'right' ? 1 : -1;
  const lateral = sign * (s * Math.cos(a) + w * Math.sin(a));
  const depth = o.distanceM + s * Math.sin(a) - w * Math.cos(a);
  const below = o.cameraHeightM - z;
  const tilt = (o.tiltDeg * Math.PI) / 180;
  const axial = depth * Math.cos(tilt) + below * Math.sin(tilt);
  const down = below * Math.cos(tilt) - depth * Math.sin(tilt);
  return { x: (o.widthPx - 1) / 2 + (f * lateral) / axial, y: o.heightPx * 0.45 + (f * down) / axial };
}

/** Level and nod wander from stride to stride, smoothly. */
function headAt(o: WalkOptions, time: number): { level: number; nod: number } {
  const k = Math.floor(time / o.strideDurationS);
  const share = (1 - Math.cos(Math.PI * (time / o.strideDurationS - k))) / 2;
  const at = (stride: number): [number, number] => {
    const n = numbers(o.seed * 131 + stride + 17);
    return [n.normal(), n.normal()];
  };
  const [a, b] = [at(k), at(k + 1)];
  const mix = (i: 0 | 1): number => a[i] * (1 - share) + b[i] * share;
  const { fromS, toS, byM } = o.headUp ?? { fromS: Infinity, toS: Infinity, byM: 0 };
  // Up and down again within .3 s.
  const up = Math.min(1, Math.max(0, 0.5 + Math.min(time - fromS, toS - time) / 0.3));
  return { level: o.headWanderM * mix(0) + byM * (o.headUp ? up : 0), nod: 1 + o.nodCv * mix(1) };
}

/** The horse at one time: places of all points it has, px without error. */
function pose(
  o: WalkOptions,
  body: Body,
  falls: Record<Limb, TrueStance[]>,
  time: number,
  middleM: number,
): Partial<Record<PointName, { x: number; y: number }>> {
  const near: Side = o.direction;
  const h = o.withersM;
  const b = bodyAt(body, time) - middleM;
  const cycle = (2 * Math.PI * time) / o.strideDurationS;
  const bob = 0.012 * h * Math.cos(2 * cycle);
  const sway = 0.01 * h * Math.cos(2 * cycle + 1);
  // The withers' mean height is the height with the stick.
  const withers = { s: b + 0.35 + sway, z: h + bob };
  const { level, nod } = headAt(o, time);
  const head = withers.z + o.headAboveM + level + ((o.nodM * nod) / 2) * Math.cos(2 * cycle + 0.6);
  const out: Partial<Record<PointName, { x: number; y: number }>> = {
    withers: project(o, withers.s, 0, withers.z),
    croup: project(o, withers.s - 0.55 * h, 0, h + o.croupAboveM + 0.01 * h * Math.cos(2 * cycle + 2)),
    tailhead: project(o, withers.s - 0.75 * h, 0, 0.9 * h + bob),
    point_of_shoulder: project(o, withers.s + 0.25 * h, 0.15, 0.68 * h + bob),
    point_of_elbow: project(o, withers.s + 0.05 * h, 0.15, 0.55 * h + bob),
    poll: project(o, withers.s + 0.55 * h, 0, head),
    muzzle: project(o, withers.s + 0.85 * h, 0, head - 0.35 * h),
  };
  for (const limb of LIMBS) {
    const side: Side = limb.startsWith('L') ? 'left' : 'right';
    const w = (side === near ? 0.5 : -0.5) * o.baseWidthM;
    const { toe, fetlock } = limbPlaces(o, falls[limb], time);
    const top = { s: withers.s + (limb.endsWith('F') ? 0.02 : -0.6) * h, z: 0.5 * h };
    out[HOOF[limb]] = project(o, toe.s - middleM, w, toe.z);
    out[FETLOCK[limb]] = project(o, fetlock.s - middleM, w, fetlock.z);
    out[KNEE_OR_HOCK[limb]] = project(o, (fetlock.s - middleM + top.s) / 2, w, (fetlock.z + top.z) / 2);
  }
  return out;
}

/** SD of a point's x and y, % of the withers height. */
export function noisePct(name: PointName, near: Side): readonly [number, number] {
  const side = name.startsWith('left_') ? 'left' : name.startsWith('right_') ? 'right' : null;
  if (side === null) return BODY_NOISE_PCT;
  return NOISE_PCT[side === near ? 'near' : 'far'][
    name.includes('fore') || name.includes('shoulder') ? 'F' : 'H'
  ];
}

type Numbers = ReturnType<typeof numbers>;

/** The error of each point that stays the same all along the pass, px. */
function constantErrors(
  o: WalkOptions,
  n: Numbers,
  hPx: number,
): Record<PointName, { x: number; y: number }> {
  const ahead = o.direction === 'right' ? 1 : -1;
  const errors = POINT_NAMES.map((name) => {
    const laws = o.constantErrors[name.includes('hoof') ? 'toe' : (name as 'withers' | 'croup' | 'poll')];
    // Drawn for every point: the noise that follows is then the same with such errors and without.
    const [forward, up] = [laws?.forward, laws?.up].map((law) => {
      const z = n.normal();
      return law ? law.mean + law.sd * z : 0;
    });
    return [name, { x: ahead * (forward ?? 0) * hPx, y: -(up ?? 0) * hPx }];
  });
  return Object.fromEntries(errors) as Record<PointName, { x: number; y: number }>;
}

/** Footfalls where the network sees the toe stand. */
function asSeen(o: WalkOptions, falls: Record<Limb, TrueStance[]>, n: Numbers): Record<Limb, TrueStance[]> {
  const seen = (list: TrueStance[]): TrueStance[] =>
    list.map((s) => ({ ...s, printM: s.printM + o.stanceErrorH * o.withersM * n.normal() }));
  return { LH: seen(falls.LH), LF: seen(falls.LF), RH: seen(falls.RH), RF: seen(falls.RF) };
}

export function walk(given: Partial<WalkOptions> = {}): Walk {
  const o = { ...WALK, ...given };
  const n = numbers(o.seed);
  const body = bodyOf(o, n);
  const falls = footfalls(o, body, n);
  const lastsS = o.strides * o.strideDurationS;
  const middleM = bodyAt(body, lastsS / 2) + 0.2;
  const noise = numbers(o.seed + 7919);
  const hPx = (o.focalShare * Math.max(o.widthPx, o.heightPx) * o.withersM) / o.distanceM;
  const bias = constantErrors(o, noise, hPx);
  const seenFalls = asSeen(o, falls, numbers(o.seed + 104729));
  const frames: ObservedFrame[] = [];
  const count = Math.floor(lastsS * o.fps) + 1;
  const phase = noise.uniform() / o.fps;
  for (let i = 0; i < count; i++) {
    const time = i / o.fps + phase;
    if (i > 0 && i < count - 1 && noise.uniform() < o.dropFrames) continue;
    const exact = pose(o, body, seenFalls, time, middleM);
    const points: Partial<Record<PointName, { x: number; y: number; score: number }>> = {};
    for (const name of POINT_NAMES) {
      const p = exact[name];
      const [sx, sy] = noisePct(name, o.direction);
      const dx = o.noise * (sx / 100) * hPx * noise.normal();
      const dy = o.noise * (sy / 100) * hPx * noise.normal();
      if (!p || (name.includes('hoof') && noise.uniform() < o.dropOut)) continue;
      points[name] = { x: p.x + dx + bias[name].x, y: p.y + dy + bias[name].y, score: 0.9 };
    }
    frames.push({ timeS: o.startS + time, horse: { box: boxOf(points), view: o.direction, points } });
  }
  const all = LIMBS.flatMap((limb) => falls[limb]).map((s) => ({
    ...s,
    onS: s.onS + o.startS,
    offS: s.offS + o.startS,
  }));
  const stances = all.filter((s) => s.offS > o.startS && s.onS < o.startS + lastsS);
  return {
    options: o,
    frames,
    track: toTrack(frames, o, hPx),
    stances,
    falls: all,
    speedMps: o.strideLengthM / o.strideDurationS,
  };
}

function boxOf(
  points: Partial<Record<PointName, { x: number; y: number }>>,
): readonly [number, number, number, number] {
  const all = Object.values(points);
  const xs = all.map((p) => p.x);
  const ys = all.map((p) => p.y);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

/** The frames as a track without smoothing: the hardest thing the core can be given. */
function toTrack(frames: readonly ObservedFrame[], o: WalkOptions, hPx: number): Track {
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => {
      const [sx] = noisePct(name, o.direction);
      const sdPx = Math.max(0.1, ((o.noise * sx) / 100) * hPx);
      const list = frames.map((frame): TrackPoint | null => {
        const p = frame.horse?.points[name];
        return p ? { x: p.x, y: p.y, vx: 0, vy: 0, sdPx, score: p.score, source: 'network' } : null;
      });
      return [name, list];
    }),
  ) as unknown as Track['points'];
  return {
    timesS: frames.map((f) => f.timeS),
    points,
    toStill: frames.map(() => ({ a: 1, b: 0, tx: 0, ty: 0 })),
    seenSide: frames.map(() => o.direction),
    pictureWidthPx: o.widthPx,
    pictureHeightPx: o.heightPx,
    groundSdPx: 0,
  };
}
