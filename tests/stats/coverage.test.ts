/** How often intervals hold the truth, and how often a change is said where there is none; normal data, seeded. */
import { mean } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { strideMean, toMeasure } from '../../src/gait/interval.ts';
import type { Measure } from '../../src/gait/types.ts';
import { agreement } from '../../src/stats/agreement.ts';
import { changeVerdict, usualSd, type DayValue, type Known } from '../../src/stats/change.ts';
import { icc, type Icc } from '../../src/stats/icc.ts';
import { withinSubjectSd } from '../../src/stats/repeatability.ts';
import type { Interval } from '../../src/stats/types.ts';
import { seededNormal, times, told } from './support.ts';

/** 95 % within four standard errors of a share of that many rounds. */
const off = (rounds: number): number => 4 * Math.sqrt((0.05 * 0.95) / rounds);
const holds = ({ low, high }: Interval, truth: number): number => +(low <= truth && truth <= high);
const share = (hits: readonly number[]): number => hits.reduce((a, b) => a + b, 0) / hits.length;
const report = (what: string, found: number): void =>
  void process.stdout.write(`  ${what}: ${(100 * found).toFixed(2)} %\n`);

const dayOf = (measure: Measure): DayValue => ({ measure, unit: 'M', isOblique: false });
const exact = (value: number): Measure => ({ value, low: value, high: value, n: 4, side: 'left' });
const saidOf = (a: DayValue, b: DayValue, known: Known): number => {
  const { verdict } = changeVerdict(a, b, known);
  if (verdict === 'cannotTell') throw new Error('not told');
  return +(verdict !== 'within');
};
const said = (a: Measure, b: Measure, known: Known): number => saidOf(dayOf(a), dayOf(b), known);

describe('a change is said though there is none', () => {
  const ROUNDS = 40_000;
  const SD = 0.03;
  /** Days of passes; their levels differ, but for the first two days, which are compared. */
  const drawn = (days: number, passes: number, normal: () => number): number[][] => {
    const level = 1.7 + normal();
    return times(days, (day) => {
      const own = day < 2 ? level : 1.7 + normal();
      return times(passes, () => own + SD * normal());
    });
  };

  it.each([
    [3, 3],
    [6, 2],
    [8, 5],
  ])('in one of 20 pairs of passes, repeats from %i other days of %i passes', (days, passes) => {
    const normal = seededNormal(10 * days + passes);
    const hits = times(ROUNDS, () => {
      const ownRepeats = told(withinSubjectSd(drawn(days, passes, normal)));
      return said(exact(SD * normal()), exact(SD * normal()), { ownRepeats, usualSd: null });
    });
    report(`own repeats, ${days} other days of ${passes} passes`, share(hits));
    expect(Math.abs(share(hits) - 0.05)).toBeLessThan(off(ROUNDS));
  });

  it.each([
    [3, 3],
    [6, 2],
  ])('in one of 20 pairs of days, compared by their means, among %i days of %i passes', (days, passes) => {
    const normal = seededNormal(100 * days + passes);
    const hits = times(ROUNDS, () => {
      const pool = drawn(days, passes, normal);
      const [a, b] = pool.map((own) => ({ ...dayOf(exact(mean(own))), passes })) as [DayValue, DayValue];
      return saidOf(a, b, { ownRepeats: told(withinSubjectSd(pool)), usualSd: null });
    });
    report(`own repeats, means of two among ${days} days of ${passes} passes`, share(hits));
    expect(Math.abs(share(hits) - 0.05)).toBeLessThan(off(ROUNDS));
  });

  it('in no more than 5 % where what a day shares is given; more often where it is not', () => {
    const normal = seededNormal(5);
    const sd = { value: SD, low: SD, high: SD };
    const known = { ownRepeats: { sd, degreesOfFreedom: 32 }, usualSd: null };
    const rounds = times(ROUNDS, () => {
      const [a, b] = times(2, () => exact(SD * normal() + SD * normal())) as [Measure, Measure];
      const given = (m: Measure): DayValue => ({ ...dayOf(m), sharedSd: SD });
      return [saidOf(given(a), given(b), known), said(a, b, known)] as const;
    });
    const [withIt, without] = [share(rounds.map(([x]) => x)), share(rounds.map(([, x]) => x))];
    report('days share an error as large as that of a pass: given', withIt);
    report('days share an error as large as that of a pass: not given', without);
    expect(withIt).toBeLessThan(0.05 + off(ROUNDS));
    expect(without).toBeGreaterThan(0.1);
  });

  it.each([3, 6])(
    'in no more than one of 20 pairs, with the intervals of the core for %i strides',
    (strides) => {
      const normal = seededNormal(strides);
      const usual = usualSd('strideLengthM', 1.7, null) ?? NaN;
      /** The day's level varies as strides do; each stride by itself; 1 cm of each stride and of the whole is error. */
      const filmed = (): Measure => {
        const level = 1.7 + usual * normal() + 0.01 * normal();
        const each = times(strides, () => ({ value: level + usual * normal() + 0.01 * normal(), sd: 0.01 }));
        return toMeasure(strideMean(each, usual, strides, 'left'), [0.01], 'tooFewStrides');
      };
      const hits = times(ROUNDS, () => said(filmed(), filmed(), { ownRepeats: null, usualSd: usual }));
      report(`fallback, ${strides} strides`, share(hits));
      expect(share(hits)).toBeLessThan(0.05 + off(ROUNDS));
      // Nor so seldom that nothing could ever be seen.
      expect(share(hits)).toBeGreaterThan(0.02);
    },
  );
});

describe('95 % intervals hold the truth', () => {
  const ROUNDS = 6000;
  const [N, K] = [12, 3];

  it.each(['oneWay', 'twoWayRandom', 'twoWayMixed'] as const)('of ICC, %s', (form) => {
    const normal = seededNormal(form.length);
    const raterSd = { oneWay: 0, twoWayRandom: 0.5, twoWayMixed: 0 }[form];
    const truth = 2 / (2 + raterSd ** 2 + 0.8);
    const hits = times(ROUNDS, () => {
      // Fixed raters differ by amounts that don't count.
      const raters = times(K, (j) => (form === 'twoWayMixed' ? j : raterSd * normal()));
      const table = times(N, () => {
        const level = Math.SQRT2 * normal();
        return raters.map((r) => level + r + Math.sqrt(0.8) * normal());
      });
      return holds(told((told(icc(table)) as Icc)[form].single), truth);
    });
    report(`ICC ${form}`, share(hits));
    expect(Math.abs(share(hits) - 0.95)).toBeLessThan(off(ROUNDS));
  });

  it('of the within-subject SD', () => {
    const normal = seededNormal(77);
    const hits = times(ROUNDS, () =>
      holds(told(withinSubjectSd(times(4, (i) => times(2 + (i % 2), () => i + 3 * normal())))).sd, 3),
    );
    report('within-subject SD', share(hits));
    expect(Math.abs(share(hits) - 0.95)).toBeLessThan(off(ROUNDS));
  });

  it.each([
    ['one pair of each of 17', times(17, () => 1)],
    ['three pairs of each of 12', times(12, () => 3)],
    ['1 - 5 pairs of 15', times(15, (i) => 1 + (i % 5))],
  ])('of bias and limits of agreement, %s', (what, counts) => {
    const normal = seededNormal(counts.length);
    const [between, within] = [2, 1];
    const limit = 1.959964 * Math.hypot(between, within);
    const all = times(ROUNDS, () => {
      const subjects = counts.map((count) => {
        const own = 0.5 + between * normal();
        return times(count, () => ({ a: 10 + own + within * normal(), b: 10 }));
      });
      const { bias, lower, upper } = told(agreement(subjects));
      return [holds(bias, 0.5), holds(lower, 0.5 - limit), holds(upper, 0.5 + limit)] as const;
    });
    (['bias', 'lower limit', 'upper limit'] as const).forEach((name, i) => {
      const found = share(all.map((hits) => hits[i] ?? 0));
      report(`${name}, ${what}`, found);
      expect(Math.abs(found - 0.95)).toBeLessThan(off(ROUNDS));
    });
  });
});
