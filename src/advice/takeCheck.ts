import { passFacts } from '../gait/analyse.ts';
import { isMeasured } from '../gait/interval.ts';
import type { ClipPass } from '../gait/passKinds.ts';
import type { GaitOptions, LinePass, SidePass } from '../gait/types.ts';
import type { Track } from '../track/types.ts';
import { budgetOf, type Budget, type Costed, COSTED, type Halves, type ScaledFacts } from './budget.ts';
import { lineFaults, sideFaults, type Fault, type TakeCause } from './faults.ts';

/** What a cause costs one of the lengths of a side pass. In withers heights, and in m where the height is known. */
export interface Cost {
  readonly of: 'overtrack' | 'strideLength';
  /**
   * Half the 95 % interval that this cause makes by itself. Squares add up: those of all findings of a pass and of what
   * is left are that of the interval (to half a per cent or so, to one where it is blurred, as causes touch each other).
   */
  readonly partH: number;
  readonly partM: number | null;
  /** By so much either side of the interval would be narrower without this cause alone. */
  readonly narrowerH: number;
  readonly narrowerM: number | null;
}

/** One thing that the filming of a pass costs. */
export interface Finding extends Fault {
  /** Place of its pass in the list of passes. */
  readonly pass: number;
  readonly passKind: 'side' | LinePass['kind'];
  /** Empty where the core has no term for this cause: it costs something, but nobody knows how much. */
  readonly costs: readonly Cost[];
  /** The same of the stride's duration, s; null where there is none. */
  readonly narrowerS: number | null;
}

const isCosted = (cause: TakeCause): cause is Costed => (COSTED as readonly string[]).includes(cause);

const LENGTHS = [
  ['overtrack', 'overtrackH'],
  ['strideLength', 'strideLengthH'],
] as const satisfies readonly (readonly [Cost['of'], keyof Halves])[];

function costsOf(
  { half, without }: Budget,
  cause: Costed,
  { inWithersHeights }: SidePass,
  withersM: number | null,
): Cost[] {
  return LENGTHS.flatMap(([of, key]): Cost[] => {
    const [whole, left] = [half[key], without[cause]?.[key] ?? null];
    if (whole === null || left === null || !isMeasured(inWithersHeights[key])) return [];
    const partH = Math.sqrt(Math.max(0, whole ** 2 - left ** 2));
    const narrowerH = Math.max(0, whole - left);
    const inM = (lengthH: number): number | null => (withersM === null ? null : lengthH * withersM);
    return [{ of, partH, partM: inM(partH), narrowerH, narrowerM: inM(narrowerH) }];
  });
}

function sideFindings(track: Track, pass: SidePass, i: number, options: GaitOptions): Finding[] {
  const facts = passFacts(track, pass, options);
  const faults = sideFaults(facts, pass);
  const { scale } = facts;
  const scaled: ScaledFacts | null = scale && { ...facts, scale };
  const causes = faults.map(({ cause }) => cause).filter(isCosted);
  const budget = scaled && budgetOf(scaled, causes);
  const of = { pass: i, passKind: pass.kind } as const;
  return faults.map((fault): Finding => {
    const { cause, refuses } = fault;
    if (!budget || !isCosted(cause) || refuses) return { ...fault, ...of, costs: [], narrowerS: null };
    const [whole, left] = [budget.half.strideDurationS, budget.without[cause]?.strideDurationS ?? null];
    return {
      ...fault,
      ...of,
      costs: costsOf(budget, cause, pass, facts.options.withersM),
      narrowerS: whole === null || left === null ? null : Math.max(0, whole - left),
    };
  });
}

const largest = ({ costs }: Finding): number => Math.max(-1, ...costs.map(({ narrowerH }) => narrowerH));

/**
 * What the filming of a clip costs: of each pass what falls short of how a clip is wanted, first what refuses a measure
 * altogether, then by how much narrower the wider of the intervals of stride length and overtrack would be without it,
 * last that of which the core knows no term. `options`: those of the measures themselves. Of a pass away or back the
 * core's intervals rest on the sizes of points alone, so that nothing there has a cost; passes that were not measured are
 * passed over.
 */
export function takeCheck(
  track: Track,
  passes: readonly (SidePass | LinePass | ClipPass)[],
  options: GaitOptions,
): Finding[] {
  return passes
    .flatMap((pass, i): Finding[] => {
      if ('stances' in pass) return sideFindings(track, pass, i, options);
      if (!('measures' in pass)) return [];
      const of = { pass: i, passKind: pass.kind, costs: [], narrowerS: null };
      return lineFaults(track, pass, options).map((fault) => ({ ...fault, ...of }));
    })
    .sort((a, b) => Number(b.refuses) - Number(a.refuses) || largest(b) - largest(a));
}
