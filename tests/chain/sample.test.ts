/** The whole chain on the drawn clip whose truth is known: it needs nothing that is not in this repository. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { MEASURE_NAMES, type Measure, type SidePass } from '../../src/gait/types.ts';
import { LIMBS, limbSide } from '../../src/points.ts';
import { measure } from '../../src/pipeline.ts';
import { root } from '../support/programs.ts';
import { isSide } from '../truth/trueMeasures.ts';
import type { TruthFile } from '../truth/truth.ts';
import { startChain, type Chain } from './chain.ts';

const truth = JSON.parse(readFileSync(`${root}/sample-clips/side-pass.truth.json`, 'utf8')) as TruthFile;
const [one] = truth.passes.filter(isSide);
if (!one) throw new Error('no pass in the truth');
let chain: Chain;
let pass: SidePass;

beforeAll(async () => {
  chain = await startChain();
  const { seen } = await chain.runSeen(`${root}/sample-clips/side-pass.mp4`, truth.withersM);
  const { passes } = measure(seen, [], truth.withersM);
  expect(passes).toHaveLength(1);
  pass = passes[0] as SidePass;
});
afterAll(() => chain.close());

const valueOf = (m: Measure): number => ('value' in m ? m.value : NaN);

describe('the sample clip', () => {
  it('is one pass to the right, the right side near', () => {
    expect(pass).toMatchObject({ direction: 'right', nearSide: 'right', warnings: [] });
  });

  it.each(MEASURE_NAMES)('%s: the interval holds the true value', (name) => {
    const found = pass.measures[name];
    if (!('value' in found)) throw new Error(`${name}: ${found.reason}`);
    const is = one.measures[name][found.side];
    expect(found.low).toBeLessThanOrEqual(is);
    expect(found.high).toBeGreaterThanOrEqual(is);
  });

  it('comes near the truth', () => {
    const of = (name: (typeof MEASURE_NAMES)[number]): number => valueOf(pass.measures[name]);
    expect(Math.abs(of('overtrackM') - one.measures.overtrackM.both)).toBeLessThan(0.025);
    expect(Math.abs(of('strideDurationS') / one.measures.strideDurationS.both - 1)).toBeLessThan(0.01);
    // Withers and toes are each seen a little too near to one another: the scale is off by 2.4 %.
    expect(Math.abs(of('strideLengthM') / one.measures.strideLengthM.both - 1)).toBeLessThan(0.03);
    for (const limb of LIMBS)
      expect(
        Math.abs(valueOf(pass.measures.limbPhaseFraction[limb]) - one.limbPhaseFraction[limb]),
      ).toBeLessThan(0.02);
  });

  /** Bar: Starke & Clayton 2015 PeerJ 3:e783, hoof events from video markers, 95 % within 26 ms. */
  it('times the near hooves within 26 ms', () => {
    const near = (limb: string): boolean => limbSide(limb as (typeof LIMBS)[number]) === pass.nearSide;
    const off: number[] = [];
    for (const stance of pass.stances.filter((s) => near(s.limb))) {
      const same = truth.stances.filter((t) => t.limb === stance.limb);
      for (const edge of ['onS', 'offS'] as const) {
        const time = stance[edge];
        if (time !== null) off.push(Math.min(...same.map((t) => Math.abs(t[edge] - time))));
      }
    }
    expect(off.length).toBeGreaterThan(10);
    expect(off.filter((s) => s <= 0.026).length / off.length).toBeGreaterThanOrEqual(0.95);
  });
});
