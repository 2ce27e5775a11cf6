import { isMeasured } from '../../src/gait/interval.ts';
import type { Measure, Measured, SidePass } from '../../src/gait/types.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import { walk, type Walk, type WalkOptions } from '../support/kinematic.ts';

/** The measure, or an error that names the reason why there is none. */
export function value(m: Measure): Measured {
  if (!isMeasured(m)) throw new Error(`not measured: ${m.reason}`);
  return m;
}

export interface Analysed {
  readonly walk: Walk;
  readonly pass: SidePass;
}

/** One kinematic walk through the core; fails unless it finds exactly one pass. */
export function analysed(options: Partial<WalkOptions> = {}): Analysed {
  const made = walk(options);
  const passes = analyseTrack(made.track, { withersM: made.options.withersM });
  const pass = passes[0];
  if (!pass || passes.length !== 1) throw new Error(`expected one pass, found ${passes.length}`);
  return { walk: made, pass };
}

/** Found minus true time of every hoof-on and hoof-off, s; NaN for an event that never was. */
export function eventErrors({ walk: made, pass }: Analysed): { on: number[]; off: number[] } {
  const errors = { on: [] as number[], off: [] as number[] };
  for (const stance of pass.stances) {
    const truth = made.falls.filter((s) => s.limb === stance.limb);
    for (const edge of ['on', 'off'] as const) {
      const time = edge === 'on' ? stance.onS : stance.offS;
      if (time === null) continue;
      const all = truth.map((s) => time - (edge === 'on' ? s.onS : s.offS));
      const nearest = all.sort((a, b) => Math.abs(a) - Math.abs(b))[0] ?? Number.NaN;
      errors[edge].push(Math.abs(nearest) < 0.4 * made.options.strideDurationS ? nearest : Number.NaN);
    }
  }
  return errors;
}

export const rms = (list: readonly number[]): number =>
  Math.sqrt(list.reduce((s, v) => s + v * v, 0) / list.length);
export const average = (list: readonly number[]): number => list.reduce((s, v) => s + v, 0) / list.length;
/** Share of a list within a bound; NaN counts as outside. */
export const shareWithin = (list: readonly number[], bound: number): number =>
  list.filter((v) => Math.abs(v) <= bound).length / list.length;

export const seeds = (count: number): number[] => Array.from({ length: count }, (_, i) => i + 1);
