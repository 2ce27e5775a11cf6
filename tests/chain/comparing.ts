/** Two results of one pass, measure by measure. */
import { LIMBS, mirrorName, HOOF, type Limb } from '../../src/points.ts';
import type { Measure } from '../../src/gait/types.ts';
import type { SideEntry } from '../../src/report/contract.ts';

export type Pass = SideEntry;

/** How a difference is told: as a share of the value, of the stride, or of the height at the withers. */
export type Unit = 'share' | 'stride' | 'H';
const UNITS = {
  strideLengthM: 'share',
  strideDurationS: 'share',
  cadencePerMin: 'share',
  speedMps: 'share',
  froude: 'share',
  // Shares of the stride already: a hundredth of one is 1 %.
  lateralLagFraction: 'stride',
  dutyFactorFore: 'stride',
  dutyFactorHind: 'stride',
  // Small differences of large heights and places, and zero for some horses: a share of themselves says nothing.
  overtrackM: 'H',
  headAboveWithersM: 'H',
  headNodM: 'H',
  croupAboveWithersM: 'H',
} as const satisfies Record<string, Unit>;
type Single = keyof typeof UNITS;

export interface Difference {
  readonly measure: string;
  readonly unit: Unit;
  /** In that unit; null where neither could be measured, for the same reason. */
  readonly by: number | null;
}

const valueOf = (m: Measure): number | null => ('value' in m ? m.value : null);

/** The limb that a limb is in the mirror. */
export const mirrorLimb = (limb: Limb): Limb =>
  LIMBS.find((other) => HOOF[other] === mirrorName(HOOF[limb])) ?? limb;

/** Values that a clip played at half speed has where the original has `value`. */
const SLOWED: Partial<Record<Single, number>> = {
  strideDurationS: 2,
  cadencePerMin: 1 / 2,
  speedMps: 1 / 2,
  froude: 1 / 4,
};

export interface Change {
  readonly mirrored?: boolean;
  readonly halfSpeed?: boolean;
}

function difference(name: string, unit: Unit, a: Measure, b: Measure, expected: number, withersM: number) {
  const [x, y] = [valueOf(a), valueOf(b)];
  if (x === null || y === null) {
    const same = 'reason' in a && 'reason' in b && a.reason === b.reason;
    return { measure: name, unit, by: same ? null : Number.POSITIVE_INFINITY };
  }
  // Froude's number is a speed squared: its root is compared.
  const ratio = y / (x * expected);
  if (unit === 'share')
    return { measure: name, unit, by: (name === 'froude' ? Math.sqrt(ratio) : ratio) - 1 };
  if (unit === 'H') return { measure: name, unit, by: (y - x) / withersM };
  const turn = y - x;
  return { measure: name, unit, by: turn - Math.round(turn) };
}

/**
 * Phases after the left hind of the horse that was filmed: in the mirror it is the right hind, and all phases are
 * counted from there.
 */
function phases(pass: Pass, mirrored: boolean): Record<Limb, Measure> {
  const { limbPhaseFraction: own } = pass.measures;
  if (!mirrored) return own;
  const from = valueOf(own.RH);
  const turned = LIMBS.map((limb) => {
    const phase = own[mirrorLimb(limb)];
    return [limb, 'value' in phase && from !== null ? { ...phase, value: phase.value - from } : phase];
  });
  return Object.fromEntries(turned) as Record<Limb, Measure>;
}

/** How the measures of a changed clip differ from what those of the original let expect. */
export function differences(
  original: Pass,
  changed: Pass,
  withersM: number,
  change: Change = {},
): Difference[] {
  const single = (Object.keys(UNITS) as Single[]).map((name) => {
    const expected = change.halfSpeed ? (SLOWED[name] ?? 1) : 1;
    const [a, b] = [original.measures[name], changed.measures[name]];
    return difference(name, UNITS[name], a, b, expected, withersM);
  });
  const [before, after] = [phases(original, false), phases(changed, change.mirrored === true)];
  const limbs = LIMBS.map((limb) =>
    difference(`phase ${limb}`, 'stride', before[limb], after[limb], 1, withersM),
  );
  return [...single, ...limbs];
}

export const shown = (list: readonly Difference[]): string =>
  list
    .map(({ measure, unit, by }) =>
      by === null ? `${measure} -` : `${measure} ${(100 * by).toFixed(2)}${unit === 'H' ? ' %H' : ' %'}`,
    )
    .join(', ');

export interface Bar {
  readonly share: number;
  readonly stride: number;
  readonly H: number;
}

/** The differences that are larger than the bar. */
export const beyond = (list: readonly Difference[], bar: Bar): Difference[] =>
  list.filter(({ by, unit }) => by !== null && !(Math.abs(by) <= bar[unit]));
