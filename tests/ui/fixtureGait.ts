/** Passes and measures of the drawn horse, moved by corrections. */
import { type ClipPass, analyseTrack } from '../../src/gait/index.ts';
import type {
  EventCorrection,
  HeadSample,
  Measure,
  Measures,
  SidePass,
  Stance,
} from '../../src/gait/types.ts';
import type { Correction } from '../../src/horse/edits.ts';
import { LIMBS, type Side, limbSide } from '../../src/points.ts';
import type { Track } from '../../src/track/types.ts';
import type { Gait } from '../../src/ui/engine.ts';
import { isHeight } from '../../src/ui/words.ts';
import { COURSE, fixtureCourse } from './fixtureCourse.ts';
import { WITHERS_M, groundPx, metresPerPx, stanceOf, xOfM } from './fixtureHorse.ts';
import { TIMES, fixtureTrack } from './fixtureTrack.ts';

const START_S = 0.4;
const END_S = 4.3;

function fixtureStances(corrections: readonly EventCorrection[], withScale: boolean): readonly Stance[] {
  return LIMBS.flatMap((limb) =>
    [-1, 0, 1, 2, 3].flatMap((stride) => {
      const { onS, offS, printM } = stanceOf(limb, stride);
      if (offS < START_S || onS > END_S) return [];
      const moved = (edge: 'on' | 'off', timeS: number) =>
        corrections.find((c) => c.limb === limb && c.edge === edge && Math.abs(c.foundS - timeS) < 0.01);
      const [on, off] = [moved('on', onS), moved('off', offS)];
      return [
        {
          limb,
          onS: onS < START_S ? null : (on?.timeS ?? onS),
          offS: offS > END_S ? null : (off?.timeS ?? offS),
          eventSdS: 0.01,
          printPx: { x: xOfM(printM), y: groundPx },
          printM: withScale ? printM : null,
          printSdM: withScale ? 0.02 : null,
          printH: printM / WITHERS_M,
          printSdH: 0.02 / WITHERS_M,
          edited: on !== undefined || off !== undefined,
        },
      ];
    }),
  );
}

const around = (value: number, half: number, side: Side | 'both'): Measure => ({
  value,
  low: value - half,
  high: value + half,
  n: 1,
  side,
});

function overtracksOf(stances: readonly Stance[]): SidePass['overtracks'] {
  return stances.flatMap((fore) => {
    if (!fore.limb.endsWith('F')) return [];
    const side: Side = limbSide(fore.limb);
    const hind = stances.find(
      (other) =>
        other.limb.endsWith('H') &&
        limbSide(other.limb) === side &&
        Math.abs(fore.printPx.x - other.printPx.x) * metresPerPx < 0.6,
    );
    if (!hind) return [];
    const m = hind.printM === null || fore.printM === null ? null : hind.printM - fore.printM;
    const apartH = (fore.printPx.x - hind.printPx.x) * (metresPerPx / WITHERS_M);
    return [{ side, fore, hind, m, inH: around(apartH, 0.02, side) }];
  });
}

function fixtureMeasures(stances: readonly Stance[], withersM: number | null): Measures {
  const landings = stances.flatMap(({ limb, onS }) => (limb === 'LH' && onS !== null ? [onS] : []));
  const first = landings[0] ?? 0;
  const strideS = ((landings.at(-1) ?? 0) - first) / (landings.length - 1);
  const measured = (value: number, half: number, side: Side | 'both' = 'left'): Measure => ({
    value,
    low: value - half,
    high: value + half,
    n: landings.length - 1,
    side,
  });
  const length = (value: number, half: number, side: Side | 'both' = 'left'): Measure =>
    withersM === null
      ? { reason: 'withersHeightMissing' }
      : measured((value * withersM) / WITHERS_M, half, side);
  return {
    strideLengthM: length(1.725, 0.07),
    strideDurationS: measured(strideS, 0.018),
    cadencePerMin: measured(60 / strideS, 0.9),
    speedMps: length(1.5, 0.06),
    overtrackM: length(0.128, 0.034),
    lateralLagFraction: measured(0.23, 0.012),
    dutyFactorFore: measured(0.62, 0.02),
    dutyFactorHind: measured(0.62, 0.04, 'right'),
    headAboveWithersM: length(0.16, 0.02, 'both'),
    headNodM: length(0.11, 0.015, 'both'),
    croupAboveWithersM: length(-0.004, 0.012, 'both'),
    froude: { reason: 'tooFewStrides' },
    limbPhaseFraction: {
      LH: { value: 0, low: 0, high: 0, n: 3, side: 'left' },
      LF: measured(0.23, 0.012),
      RH: measured(0.5, 0.03, 'right'),
      RF: measured(0.74, 0.03, 'right'),
    },
  };
}

function headOf(track: Track, unit: number): readonly HeadSample[] {
  return TIMES.flatMap((timeS, frame) => {
    const [poll, withers] = [track.points.poll[frame], track.points.withers[frame]];
    if (!poll || !withers || timeS < START_S || timeS > END_S) return [];
    return [{ timeS, poll: (groundPx - poll.y) * unit, withers: (groundPx - withers.y) * unit, croup: null }];
  });
}

/** Two marks on the near track tell the height, if they are not on one spot and a horse can be as high. */
function heightOf(corrections: readonly Correction[], typedM: number | null): number | null {
  const known = corrections.find((c) => c.kind === 'distance');
  const apartPx = known ? Math.hypot(known.from.x - known.to.x, known.from.y - known.to.y) : 0;
  const heightM = known && apartPx > 20 ? (known.distanceM / apartPx) * (WITHERS_M / metresPerPx) : NaN;
  return isHeight(heightM) ? heightM : typedM;
}

/** With hooves that lie beside their places, as the core measures it. */
export function astrayGait(corrections: readonly Correction[], withersM: number | null): Gait {
  const points = corrections.filter((c) => c.kind === 'point');
  const track = fixtureTrack(points, true);
  const passes = analyseTrack(track, { withersM });
  const course = passes.map((pass) => {
    const { kind, direction, startS, endS } = pass;
    return { kind, direction, startS, endS, pass };
  });
  return { track, course, passes, corrections };
}

const ONE_PASS: readonly ClipPass[] = [{ kind: 'side', startS: START_S, endS: END_S, direction: 'left' }];

/** With more than the walk past, as if the clip showed it. */
export const courseGait = (corrections: readonly Correction[], withersM: number | null): Gait =>
  fixtureGait(corrections, withersM, COURSE);

export function fixtureGait(
  corrections: readonly Correction[],
  typedM: number | null,
  found: readonly ClipPass[] = ONE_PASS,
): Gait {
  const withersM = heightOf(corrections, typedM);
  const track = fixtureTrack(corrections.filter((c) => c.kind === 'point'));
  const stances = fixtureStances(
    corrections.filter((c) => c.kind === 'event'),
    withersM !== null,
  );
  const pass: SidePass = {
    kind: 'side',
    direction: 'left',
    startS: START_S,
    endS: END_S,
    nearSide: 'left',
    measures: fixtureMeasures(stances, withersM),
    stances,
    overtracks: overtracksOf(stances),
    head: headOf(track, withersM === null ? metresPerPx / WITHERS_M : metresPerPx),
    metresPerPx: withersM === null ? null : metresPerPx,
    withersM,
    withersHeightPx: WITHERS_M / metresPerPx,
    obliquityDeg: 2,
    inWithersHeights: {
      strideLengthH: { value: 1.065, low: 1.02, high: 1.11, n: 3, side: 'left' },
      overtrackH: { value: 0.079, low: 0.058, high: 0.1, n: 3, side: 'left' },
      headAboveWithersH: around(0.16 / WITHERS_M, 0.012, 'both'),
      headNodH: around(0.11 / WITHERS_M, 0.009, 'both'),
      croupAboveWithersH: { reason: 'pointHidden' },
    },
    warnings: withersM === null ? ['withersHeightMissing'] : [],
  };
  return { track, ...fixtureCourse(found, pass, corrections, withersM), corrections };
}
