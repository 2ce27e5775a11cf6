/** Every measure of a youngster against its age, ready to be plotted. */
import { STICK_SD_M } from '../gait/lengthMeasures.ts';
import type { ReasonCode } from '../gait/reasons.ts';
import type { Measure, Measured } from '../gait/types.ts';
import { ageOn, type Age } from './age.ts';
import { Z_975 } from './distributions.ts';
import { expectedAdultHeightM } from './growth.ts';
import type { Interval, Untold } from './types.ts';

/** Measures by name, lists by limb or side within; what is no measure in it is left out. */
export type MeasureTree = object;

/** One horse on one day. */
export interface Visit {
  /** YYYY-MM-DD. */
  readonly date: string;
  /** Height at the withers on that day, m; null where it isn't known. */
  readonly withersM: number | null;
  /** SD of that height, m; of a stick where not given. */
  readonly withersSdM?: number;
  /** `measures` of each side or line pass, and `inWithersHeights` of a side pass. */
  readonly passes: readonly { readonly measures: MeasureTree; readonly inWithersHeights?: MeasureTree }[];
}
type Pass = Visit['passes'][number];

interface Aged {
  readonly date: string;
  readonly age: Age;
}
export interface AgedPoint extends Aged, Interval {
  /** Strides (steps, prints, swings) that went into it; 1 of a height that was typed in. */
  readonly n: number;
}
export interface AgedGap extends Aged {
  readonly reason: ReasonCode;
}

/** Points and gaps of one measure, each by age. */
export interface Series {
  readonly points: readonly AgedPoint[];
  readonly gaps: readonly AgedGap[];
}

export interface Development {
  /**
   * By name, which ends in the unit; parts of a list after a dot (`limbPhaseFraction.LF`). Lengths in M are there in H
   * (withers heights) too. `withersHeightM` and `croupHeightM` are heights above the ground.
   */
  readonly series: ReadonlyMap<string, Series>;
  /** Expected adult height, m, by the age at which it was worked out; where the table of growth has that age. */
  readonly adultHeightM: readonly (Aged & Interval)[];
  /** Visits without an age. */
  readonly unplaced: readonly { readonly visit: Visit; readonly reason: 'notADate' | 'beforeBirth' }[];
}

/** Birth as YYYY-MM-DD; visits of one horse in any order. */
export function development(birth: string, visits: readonly Visit[]): Development {
  const unplaced: { visit: Visit; reason: 'notADate' | 'beforeBirth' }[] = [];
  const aged: (Aged & { visit: Visit })[] = [];
  for (const visit of visits) {
    const age = ageOn(birth, visit.date);
    if ('reason' in age) unplaced.push({ visit, ...age });
    else aged.push({ visit, age, date: visit.date });
  }
  aged.sort((a, b) => a.age.days - b.age.days);
  const series = new Map<string, { points: AgedPoint[]; gaps: AgedGap[] }>();
  for (const { visit, ...at } of aged) {
    for (const [name, measure] of namedMeasures(visit)) {
      const own = series.get(name) ?? { points: [], gaps: [] };
      series.set(name, own);
      if ('reason' in measure) own.gaps.push({ ...at, reason: measure.reason });
      else own.points.push({ ...at, ...intervalOf(measure), n: measure.n });
    }
  }
  const adultHeightM = aged.flatMap(({ visit, ...at }) => {
    const height = adultHeightOf(visit, at.age);
    return height === null || 'reason' in height ? [] : [{ ...at, ...height }];
  });
  return { series, adultHeightM, unplaced };
}

/** Values of a measure on each day, from all passes of one horse on that day: repeats for `withinSubjectSd`. */
export function dayRepeats(visits: readonly Visit[], name: string): number[][] {
  const byDate = new Map<string, number[]>();
  for (const visit of visits) {
    const values = namedMeasures(visit).flatMap(([own, m]) =>
      own === name && 'value' in m ? [m.value] : [],
    );
    byDate.set(visit.date, [...(byDate.get(visit.date) ?? []), ...values]);
  }
  return [...byDate.values()].filter((values) => values.length > 0);
}

const intervalOf = ({ value, low, high }: Measured): Interval => ({ value, low, high });

const adultHeightOf = (
  { withersM, withersSdM = STICK_SD_M }: Visit,
  { months }: Age,
): Interval | Untold<'outsideGrowthTable'> | null =>
  withersM === null ? null : expectedAdultHeightM(withersM, withersSdM, months);

/** Every measure of every pass by name, as it is and in withers heights, and the heights above the ground. */
function namedMeasures(visit: Visit): [string, Measure][] {
  const { withersM, withersSdM = STICK_SD_M } = visit;
  if (withersM === null) return visit.passes.flatMap((pass) => [...ofPass(pass, null)]);
  const height = heightOf(withersM, withersSdM);
  return [
    ['withersHeightM', height],
    ...visit.passes.flatMap((pass) => [...ofPass(pass, withersM), ...croupHeight(pass, height)]),
  ];
}

/** What the core has in withers heights needs no typed height, and comes last: it counts. */
function ofPass({ measures, inWithersHeights = {} }: Pass, withersM: number | null): Map<string, Measure> {
  const own = [...leaves(measures)];
  const inH = own.flatMap(([name, measure]): [string, Measure][] =>
    IN_METRES.test(name) && withersM !== null
      ? [[name.replace(IN_METRES, 'H'), perHeight(measure, withersM)]]
      : [],
  );
  return new Map([...own, ...inH, ...leaves(inWithersHeights)]);
}

/** The unit at the end of a name or before a part of a list. */
const IN_METRES = /M(?=\.|$)/;

function* leaves(tree: MeasureTree, path = ''): Generator<[string, Measure]> {
  for (const [key, value] of Object.entries(tree) as [string, unknown][]) {
    const name = path === '' ? key : `${path}.${key}`;
    if (typeof value !== 'object' || value === null) continue;
    if ('reason' in value || 'value' in value) yield [name, value as Measure];
    else yield* leaves(value, name);
  }
}

/** The interval in metres has the height's error in it: divided by that height it is right or too wide. */
const perHeight = (m: Measure, withersM: number): Measure =>
  'reason' in m ? m : { ...m, value: m.value / withersM, low: m.low / withersM, high: m.high / withersM };

const heightOf = (withersM: number, sdM: number): Measured => ({
  ...{ value: withersM, low: withersM - Z_975 * sdM, high: withersM + Z_975 * sdM },
  ...{ n: 1, side: 'both' },
});

/** The croup above the ground, where the pass has it above the withers. */
function croupHeight({ measures }: Pass, height: Measured): [string, Measure][] {
  const above = (measures as { readonly croupAboveWithersM?: Measure }).croupAboveWithersM;
  if (above === undefined) return [];
  if ('reason' in above) return [['croupHeightM', above]];
  const value = height.value + above.value;
  const error = height.high - height.value;
  return [
    [
      'croupHeightM',
      {
        ...above,
        value,
        low: value - Math.hypot(error, above.value - above.low),
        high: value + Math.hypot(error, above.high - above.value),
      },
    ],
  ];
}
