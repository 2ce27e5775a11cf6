/**
 * The whole chain on drawn clips whose truth is known: they need nothing that is not in this repository. The gate at the
 * end holds them to figures of the same kind as those of `npm run accuracy`.
 */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { measuredPasses } from '../../src/advice/coaching.ts';
import { takeCheck } from '../../src/advice/takeCheck.ts';
import { MEASURE_NAMES, type SidePass } from '../../src/gait/types.ts';
import { measure, type Observed } from '../../src/pipeline.ts';
import { samplesOf } from '../accuracy/compare.ts';
import { figures, type Row, type Sample } from '../accuracy/figures.ts';
import { root } from '../support/programs.ts';
import { isSide } from '../truth/trueMeasures.ts';
import type { TrueSidePass } from '../truth/trueSide.ts';
import type { TruthFile } from '../truth/truth.ts';
import { startChain, type Chain } from './chain.ts';
import { describeTour } from './tourOnSample.ts';

const WALKS = ['side-pass', 'side-pass-hurried'] as const;
const JOG = 'side-pass-jog-steps';
const TRIANGLE = 'triangle';
const WITHERS_M = 1.6;

interface Taken {
  readonly seen: Observed;
  readonly one: TrueSidePass;
  readonly passes: readonly SidePass[];
  readonly samples: readonly Sample[];
}
const taken = new Map<string, Taken>();
let chain: Chain;

async function take(name: string): Promise<Taken> {
  const stem = `${root}/sample-clips/${name}`;
  const truth = JSON.parse(readFileSync(`${stem}.truth.json`, 'utf8')) as TruthFile;
  const [one] = truth.passes.filter(isSide);
  if (!one) throw new Error('no pass in the truth');
  const { seen } = await chain.runSeen(`${stem}.mp4`, truth.withersM);
  const { passes } = measure(seen, [], truth.withersM);
  return { seen, one, passes, samples: samplesOf(seen, truth, [name]) };
}
const of = (name: string): Taken => {
  const found = taken.get(name);
  if (!found) throw new Error(`${name} was not run`);
  return found;
};

beforeAll(async () => {
  chain = await startChain();
  for (const name of [...WALKS, JOG, TRIANGLE]) taken.set(name, await take(name));
});
afterAll(() => chain.close());

describe.each([
  ['side-pass', 'right'],
  ['side-pass-hurried', 'left'],
])('the drawn clip %s', (name, direction) => {
  it(`is one pass to the ${direction}, that side near`, () => {
    expect(of(name).passes).toHaveLength(1);
    expect(of(name).passes[0]).toMatchObject({ direction, nearSide: direction, warnings: [] });
  });

  it.each(MEASURE_NAMES)('%s: the interval holds the true value', (measureName) => {
    const { one, passes } = of(name);
    const found = passes[0]?.measures[measureName];
    if (!found || !('value' in found)) throw new Error(found ? found.reason : 'no pass');
    const is = one.measures[measureName][found.side];
    expect(found.low).toBeLessThanOrEqual(is);
    expect(found.high).toBeGreaterThanOrEqual(is);
  });
});

/**
 * Bounds on the RMS error of each measure, in the unit of its row; measured on the first and the second clip behind each.
 * Stance times within 5 %: Boye et al. 2014, J Biomech; hoof events within 26 ms: Starke & Clayton 2015, PeerJ 3:e783.
 * The others are what the numbers should be good for, our own.
 */
const BOUNDS: Readonly<Record<string, number>> = {
  overtrackM: 2.5, // .34, .40 cm
  'corrected overtrackM': 1.5, // .04, .21 cm
  strideLengthM: 1.5, // .23, .20 %
  strideDurationS: 1, // .02, .23 %
  limbPhaseFraction: 2, // .14, .30 % of the stride
  lateralLagFraction: 2, // .33, .48 % of the stride
  dutyFactorFore: 5, // 2.3, 3.5 %
  dutyFactorHind: 5, // 1.0, 1.8 %
  headAboveWithersM: 2.5, // .5, .2 cm
  headNodM: 2, // 1.1, .1 cm
  croupAboveWithersM: 2.5, // .9, .9 cm
};

it.each([...WALKS, JOG, TRIANGLE])('%s is not said to be blurred', (name) => {
  const { seen } = of(name);
  const told = seen.frames.filter(({ blurPx }) => blurPx !== undefined);
  expect(told.length).toBeGreaterThan(0.5 * seen.frames.filter(({ horse }) => horse).length);
  const { track, course } = measure(seen, [], WITHERS_M);
  const findings = takeCheck(track, measuredPasses(course), { withersM: WITHERS_M });
  expect(findings.map(({ cause }) => cause)).not.toContain('blurred');
});

describe('the gate', () => {
  const row = (name: string, measureName: string): Row => {
    const rows = figures(of(name).samples).filter((r) => r.group === name && r.measure === measureName);
    if (!rows[0]) throw new Error(`nothing of ${measureName}`);
    return rows[0];
  };

  it.each(WALKS.flatMap((name) => Object.entries(BOUNDS).map(([m, bound]) => [name, m, bound] as const)))(
    '%s: %s within %d',
    (name, measureName, bound) => {
      const { rms, failed, unit } = row(name, measureName);
      console.log(`${name}: ${measureName} RMS ${rms?.toFixed(2) ?? '-'} ${unit}`);
      expect(failed).toBe(0);
      expect(rms).toBeLessThan(bound);
    },
  );

  /** Starke & Clayton 2015, PeerJ 3:e783, hoof events from video markers: 95 % within 26 ms; measured 9 and 15. */
  it.each(WALKS)('%s: times the near hooves within 26 ms', (name) => {
    const events = row(name, 'hoofEvents');
    console.log(`${name}: events, 95 % within ${events.p95?.toFixed(0) ?? '-'} ms`);
    expect(events.n).toBeGreaterThan(10);
    expect(events.p95).toBeLessThan(26);
  });

  it('finds every pass of the triangle by its kind, and none else; of a walk past nothing but that', () => {
    const borders = row(TRIANGLE, 'passBorders');
    expect(borders).toMatchObject({ n: 10, failed: 0 });
    // Measured: .27 s.
    expect(borders.p95).toBeLessThan(0.5);
    expect(row(TRIANGLE, 'noPassInvented')).toMatchObject({ n: 5, failed: 0 });
    for (const name of WALKS) expect(row(name, 'noPassInvented')).toMatchObject({ n: 1, failed: 0 });
  });

  it('measures the drift of the ways away and back within 3 degrees, and within its intervals', () => {
    // Measured: -1.1 degrees away, 1.4 back on a way in waves.
    const drift = row(TRIANGLE, 'pathDriftDeg');
    expect(drift).toMatchObject({ n: 2, failed: 0, coverage: 1 });
    expect(drift.p95).toBeLessThan(3);
  });

  it('finds two strides of jog among those of a walk, and invents none', () => {
    expect(row(JOG, 'jogFound')).toMatchObject({ n: 1, failed: 0 });
    for (const name of WALKS) expect(row(name, 'noJogInvented')).toMatchObject({ n: 1, failed: 0 });
  });
});

describeTour(() => of('side-pass').seen);
