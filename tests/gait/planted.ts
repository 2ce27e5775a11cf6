/** Walks whose toes are seen wrongly over whole stances, with the truth to put them right from. */
import type { SidePass } from '../../src/gait/types.ts';
import type { Observed } from '../../src/pipeline.ts';
import { HOOF, limbSide, type Limb } from '../../src/points.ts';
import type { ObservedFrame, PointCorrection, Track } from '../../src/track/types.ts';
import { numbers, walk, type TrueStance, type Walk, type WalkOptions } from '../support/kinematic.ts';

export type Numbers = ReturnType<typeof numbers>;
export interface Place {
  readonly timeS: number;
  readonly limb: Limb;
}
interface Stood extends Place {
  readonly onS: number;
  readonly offS: number;
}

export interface Planted {
  readonly seen: Observed;
  /** The same walk without any error. */
  readonly exact: Walk;
  readonly wrong: readonly TrueStance[];
  readonly withersM: number;
}

/** The toes of these stances so many px (to the right) beside where they are seen. */
export const besideBy = <Frame extends ObservedFrame>(
  frames: readonly Frame[],
  wrong: readonly (Omit<Stood, 'timeS'> & { readonly byPx: number })[],
): Frame[] =>
  frames.map((frame) => {
    const { horse, timeS } = frame;
    if (!horse) return frame;
    const points = { ...horse.points };
    for (const { limb, onS, offS, byPx } of wrong) {
      const at = points[HOOF[limb]];
      if (at && timeS > onS - 0.02 && timeS < offS + 0.02) points[HOOF[limb]] = { ...at, x: at.x + byPx };
    }
    return { ...frame, horse: { ...horse, points } };
  });

/** 5 to 15 cm either way. */
export const sizeM = (random: Numbers): number =>
  (0.05 + 0.1 * random.uniform()) * (random.uniform() < 0.5 ? -1 : 1);

/** Some of a list, drawn without putting back. */
export function some<T>(list: readonly T[], count: number, random: Numbers): T[] {
  const left = [...list];
  return Array.from({ length: Math.min(count, left.length) }, () =>
    left.splice(Math.floor(random.uniform() * left.length), 1),
  ).flat();
}

export const observed = (frames: readonly ObservedFrame[]): Observed => ({
  clip: {
    ...{ name: 'none', sizeBytes: 0, container: 'none', codec: 'none', widthPx: 1920, heightPx: 1080 },
    ...{ rotationDeg: 0, startS: 0, durationS: frames.at(-1)?.timeS ?? 0, meanFps: 60, decoder: 'webcodecs' },
  },
  frames: frames.map((frame) => ({ ...frame, people: [], handlerFeet: [] })) as unknown as Observed['frames'],
  motion: [],
  ending: null,
});

/**
 * A walk of 3 to 5 strides, up to 8 degrees oblique, with the noise of real points (check 34) and what else is usual, and
 * so many near prints that lie 5 to 15 cm before or behind where they are.
 */
export function plantedWalk(seed: number, count: number, given: Partial<WalkOptions> = {}): Planted {
  const random = numbers(seed * 31 + 5);
  const usual = {
    ...{ seed, strides: 3 + Math.floor(3 * random.uniform()), strideCv: 0.015, footfallSdM: 0.01 },
    ...{ footfallSdS: 0.008, overtrackM: -0.05 + 0.25 * random.uniform(), distanceM: 10 },
    direction: random.uniform() < 0.5 ? 'left' : 'right',
    obliquityDeg: -8 + 16 * random.uniform(),
    ...given,
  } as const;
  const made = walk({ ...usual, noise: 1, dropOut: 0.08, stanceErrorH: 0.007 });
  const { focalShare, widthPx, distanceM, withersM, strides, strideDurationS, direction } = made.options;
  const near = made.stances.filter(
    ({ limb, onS, offS }) =>
      limbSide(limb) === direction && offS > 0.3 && onS < strides * strideDurationS - 0.3,
  );
  const wrong = some(near, count, random);
  const pxPerM = (focalShare * widthPx) / distanceM;
  const frames = besideBy(
    made.frames,
    wrong.map((stance) => ({ ...stance, byPx: pxPerM * sizeM(random) })),
  );
  return { seen: observed(frames), exact: walk({ ...usual, noise: 0 }), wrong, withersM };
}

/** Mid-stances of whole near stances. */
export const middles = (track: Track, pass: SidePass): Place[] =>
  pass.stances.flatMap(({ limb, onS, offS }) => {
    if (limbSide(limb) !== pass.nearSide || onS === null || offS === null) return [];
    const timeS = track.timesS.find((t) => t >= (onS + offS) / 2);
    return timeS === undefined ? [] : [{ limb, timeS }];
  });

/** A hand that puts hooves where they truly are. */
export const putRight = (exact: readonly ObservedFrame[], places: readonly Place[]): PointCorrection[] =>
  places.map(({ timeS, limb }, i) => {
    const at = exact.find((frame) => Math.abs(frame.timeS - timeS) < 1e-6)?.horse?.points[HOOF[limb]];
    if (!at) throw new Error(`no ${limb} at ${timeS}`);
    return { kind: 'point', id: `hand ${i}`, timeS, point: HOOF[limb], x: at.x, y: at.y };
  });

/** Mean true overtrack of a side over the strides that are seen whole, m. */
export function trueOvertrackM({ falls, options }: Walk): number {
  const [fore, hind] = options.direction === 'left' ? (['LF', 'LH'] as const) : (['RF', 'RH'] as const);
  const lastS = options.strides * options.strideDurationS;
  const pairs = falls.flatMap((print) => {
    const next = falls.find(({ limb, onS }) => {
      const strides = (onS - print.onS) / options.strideDurationS;
      return limb === hind && strides > 0.3 && strides < 1.2;
    });
    const isSeen = print.limb === fore && print.offS > 0.2 && next && next.onS + 0.25 < lastS;
    return isSeen ? [next.printM - print.printM] : [];
  });
  return pairs.reduce((sum, m) => sum + m, 0) / pairs.length;
}
