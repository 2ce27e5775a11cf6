/** One drawn clip, as the chain measured it, held against its truth. */
import { NETWORK_ERRORS, type PointErrors } from '../../src/gait/pointErrors.ts';
import { MEASURE_NAMES, type Measure, type MeasureName, type SidePass } from '../../src/gait/types.ts';
import type { Correction } from '../../src/horse/edits.ts';
import { measure, type Observed } from '../../src/pipeline.ts';
import { HOOF, limbSide } from '../../src/points.ts';
import { isSide } from '../truth/trueMeasures.ts';
import type { TrueSidePass } from '../truth/trueSide.ts';
import type { TruthFile } from '../truth/truth.ts';
import { courseSamples } from './compareCourse.ts';
import { DRAWN_ERRORS } from './drawnErrors.ts';
import type { Sample } from './figures.ts';
import type { BenchClip } from './set.ts';

/** How an error is counted: in hundredths of the true value, or in the unit times a factor. */
const COUNTED: Readonly<Record<MeasureName, { readonly unit: string; readonly by: 'share' | number }>> = {
  strideLengthM: { unit: '%', by: 'share' },
  strideDurationS: { unit: '%', by: 'share' },
  cadencePerMin: { unit: '%', by: 'share' },
  speedMps: { unit: '%', by: 'share' },
  overtrackM: { unit: 'cm', by: 100 },
  lateralLagFraction: { unit: '% of stride', by: 100 },
  dutyFactorFore: { unit: '%', by: 'share' },
  dutyFactorHind: { unit: '%', by: 'share' },
  headAboveWithersM: { unit: 'cm', by: 100 },
  headNodM: { unit: 'cm', by: 100 },
  croupAboveWithersM: { unit: 'cm', by: 100 },
  froude: { unit: '%', by: 'share' },
};

const counted = (name: MeasureName, found: number, truth: number): number => {
  const { by } = COUNTED[name];
  return by === 'share' ? (100 * (found - truth)) / truth : by * (found - truth);
};

function sampleOf(
  name: MeasureName,
  found: Measure,
  truth: TrueSidePass,
  groups: readonly string[],
  prefix: string,
): Sample {
  const base = { measure: prefix + name, unit: COUNTED[name].unit, groups };
  if (!('value' in found)) return { ...base, error: null, held: null, reason: found.reason };
  const value = truth.measures[name][found.side];
  return {
    ...base,
    error: counted(name, found.value, value),
    held: found.low <= value && value <= found.high,
  };
}

/** The pass that shares most time with the true one. */
function passFor(truth: TrueSidePass, passes: readonly SidePass[]): SidePass | null {
  const shared = (p: SidePass): number => Math.min(p.endS, truth.endS) - Math.max(p.startS, truth.startS);
  const best = [...passes].sort((a, b) => shared(b) - shared(a))[0];
  return best && shared(best) > 0 ? best : null;
}

function phaseSamples(
  pass: SidePass,
  truth: TrueSidePass,
  groups: readonly string[],
  prefix: string,
): Sample[] {
  return (['LF', 'RH', 'RF'] as const).map((limb): Sample => {
    const found = pass.measures.limbPhaseFraction[limb];
    const base = { measure: `${prefix}limbPhaseFraction`, unit: '% of stride', groups };
    if (!('value' in found)) return { ...base, error: null, held: null, reason: found.reason };
    const value = truth.limbPhaseFraction[limb];
    return {
      ...base,
      error: 100 * (found.value - value),
      held: found.low <= value && value <= found.high,
    };
  });
}

/** Landings and lift-offs of the near hooves against the nearest true ones, ms. */
function eventSamples(pass: SidePass, truth: TruthFile, groups: readonly string[]): Sample[] {
  return pass.stances
    .filter(({ limb }) => limbSide(limb) === pass.nearSide)
    .flatMap((stance) =>
      (['onS', 'offS'] as const).flatMap((edge): Sample[] => {
        const found = stance[edge];
        if (found === null) return [];
        const errors = truth.stances.filter((s) => s.limb === stance.limb).map((s) => found - s[edge]);
        const error = errors.sort((a, b) => Math.abs(a) - Math.abs(b))[0] ?? NaN;
        return [{ measure: 'hoofEvents', unit: 'ms', groups, error: 1000 * error, held: null }];
      }),
    );
}

/** The share of toe points within 2 % of the withers height, and how far they are: near side, seen. */
export function pointSamples(seen: Observed, truth: TruthFile, groups: readonly string[]): Sample[] {
  const samples: Sample[] = [];
  seen.frames.forEach(({ horse, timeS }) => {
    const frame = truth.frames.find((f) => Math.abs(f.timeS - timeS) < 2e-3);
    if (!horse || !frame?.whole) return;
    const at = (name: string): readonly [number, number, 0 | 1] | undefined =>
      frame.points[truth.points.indexOf(name as (typeof truth.points)[number])];
    const [withers, toe] = [at('withers'), at(`${frame.view}_fore_hoof`)];
    if (!withers || !toe) return;
    const heightPx = Math.abs(toe[1] - withers[1]);
    for (const end of ['fore', 'hind'] as const) {
      const name = `${frame.view}_${end}_hoof` as (typeof truth.points)[number];
      const [is, found] = [at(name), horse.points[name]];
      if (!is || is[2] === 0) continue;
      const error = found ? (100 * Math.hypot(found.x - is[0], found.y - is[1])) / heightPx : null;
      samples.push({ measure: 'nearToePoints', unit: '% of withers height', groups, error, held: null });
    }
  });
  return samples;
}

/** As a user would: the three stances whose toe lies farthest from where it is are put right in their middle. */
export function worstThree(pass: SidePass, seen: Observed, truth: TruthFile): Correction[] {
  const candidates = pass.stances
    .filter(({ limb, onS, offS }) => limbSide(limb) === pass.nearSide && onS !== null && offS !== null)
    .flatMap(({ limb, onS, offS }) => {
      const middleS = ((onS ?? 0) + (offS ?? 0)) / 2;
      const index = truth.frames.findIndex((f) => f.timeS >= middleS);
      const frame = truth.frames[index];
      const is = frame?.points[truth.points.indexOf(HOOF[limb])];
      if (!frame || !is) return [];
      const shown = seen.frames.find((f) => Math.abs(f.timeS - frame.timeS) < 2e-3);
      if (!shown) return [];
      const found = shown.horse?.points[HOOF[limb]];
      const offPx = found ? Math.hypot(found.x - is[0], found.y - is[1]) : Infinity;
      return [{ limb, timeS: shown.timeS, x: is[0], y: is[1], offPx }];
    });
  return candidates
    .sort((a, b) => b.offPx - a.offPx)
    .slice(0, 3)
    .map(({ limb, timeS, x, y }, i) => ({ kind: 'point', id: `hand ${i}`, timeS, point: HOOF[limb], x, y }));
}

const missing = (names: readonly string[], groups: readonly string[], reason: string): Sample[] =>
  names.map((name) => ({
    measure: name,
    unit: COUNTED[name as MeasureName]?.unit ?? '% of stride',
    groups,
    error: null,
    held: null,
    reason,
  }));

function passSamples(pass: SidePass, truth: TrueSidePass, groups: readonly string[], prefix = ''): Sample[] {
  return [
    ...MEASURE_NAMES.map((name) => sampleOf(name, pass.measures[name], truth, groups, prefix)),
    ...phaseSamples(pass, truth, groups, prefix),
  ];
}

/** Without a hand, with three hooves put right, events, points; and jog steps. */
function samplesWith(
  errors: PointErrors,
  seen: Observed,
  truth: TruthFile,
  groups: readonly string[],
): Sample[] {
  const { withersM } = truth;
  const { passes } = measure(seen, [], withersM, errors);
  return truth.passes.filter(isSide).flatMap((one): Sample[] => {
    const jogged = one.jogStrides > 0;
    const pass = passFor(one, passes);
    const said = passes.some(({ warnings }) => warnings.includes('notAWalk'));
    const jog: Sample = {
      measure: jogged ? 'jogFound' : 'noJogInvented',
      unit: 'clips',
      groups,
      error: jogged === said ? 0 : null,
      held: null,
      reason: jogged ? 'missed' : 'invented',
    };
    if (jogged) return [jog, ...pointSamples(seen, truth, groups)];
    if (!pass) return [jog, ...missing([...MEASURE_NAMES, 'limbPhaseFraction'], groups, 'noPass')];
    const corrected = measure(seen, worstThree(pass, seen, truth), withersM, errors);
    const again = passFor(one, corrected.passes);
    return [
      jog,
      ...passSamples(pass, one, groups),
      ...eventSamples(pass, truth, groups),
      ...pointSamples(seen, truth, groups),
      ...(again ? passSamples(again, one, groups, 'corrected ') : []),
    ];
  });
}

/**
 * All samples of one clip, with the intervals that users get, and whether those with the errors of points on drawn
 * horses would hold the truth.
 */
export function samplesOf(seen: Observed, truth: TruthFile, groups: readonly string[]): Sample[] {
  const drawn = samplesWith(DRAWN_ERRORS, seen, truth, groups);
  const samples = samplesWith(NETWORK_ERRORS, seen, truth, groups);
  const measures = (all: readonly Sample[]): string => all.map(({ measure }) => measure).join();
  if (measures(drawn) !== measures(samples)) throw new Error('errors of points change what is measured');
  const course = courseSamples(measure(seen, [], truth.withersM), truth, groups);
  return [...samples.map((sample, i) => ({ ...sample, heldDrawn: drawn[i]?.held ?? null })), ...course];
}

/** Throws where the clip's frames do not come at the times of its truth: nothing could be held against it. */
function checkTimes(name: string, { frames }: Observed, truth: TruthFile): void {
  const off = frames.filter(
    ({ timeS }) => !truth.frames.some((f) => Math.abs(f.timeS - timeS) < 1e-3),
  ).length;
  if (off > 0)
    throw new Error(`${name}: ${off} of ${frames.length} frames come at times that its truth lacks`);
}

/** All samples of a clip of the bench; says how it went. */
export function heldAgainst(
  { name, groups }: BenchClip,
  seen: Observed,
  truth: TruthFile,
  say: (text: string) => void,
): Sample[] {
  checkTimes(name, seen, truth);
  const samples = samplesOf(seen, truth, groups);
  const told = samples.filter(({ measure }) => measure === 'overtrackM' || measure === 'pathDriftDeg');
  const offs = told.map(({ measure, error, reason, unit }) =>
    error === null ? `${measure}: ${reason}` : `${measure} off by ${error.toFixed(1)} ${unit}`,
  );
  say(`${name}: ${offs.join(', ')}`);
  return samples;
}
