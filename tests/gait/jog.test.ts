import { describe, expect, it } from 'vitest';
import { ownLags, withoutMistaken } from '../../src/gait/jog.ts';
import { measure } from '../../src/pipeline.ts';
import { fromStillCamera, NOTHING_HIDDEN, observedExactly } from '../accuracy/exact.ts';
import { CLIPS } from '../truth/plans.ts';
import { truthOf } from '../truth/truth.ts';

const at = (times: readonly number[]): { value: number; sd: number }[] =>
  times.map((value) => ({ value, sd: 0.01 }));

describe('the time from hind to fore, as a share of its own stride', () => {
  it('is a half in a jogged stride that lasts less than the walked ones around it', () => {
    const hind = at([0, 1.1, 1.9, 3]);
    const fore = at([0.25, 1.5, 2.16]);
    const [before, jogged, after] = ownLags(hind, fore, 1.1);
    expect(before?.value).toBeCloseTo(0.227, 3);
    expect(jogged?.value).toBeCloseTo(0.5, 3);
    expect(after?.value).toBeCloseTo(0.236, 3);
    // Errors of the landing and of both ends of the stride, by propagation: .01 sqrt(1 + .25 + .25) / .8.
    expect(jogged?.sd).toBeCloseTo(0.0153, 4);
  });

  it('is not taken of two strides whose landing between was missed, or of two landings in one stride', () => {
    expect(ownLags(at([0, 2.2]), at([0.25]), 1.1)).toEqual([]);
    expect(ownLags(at([0, 1.1]), at([0.25, 0.5]), 1.1)).toEqual([]);
    expect(ownLags(at([0, 0.62]), at([0.25]), 1.1)).toEqual([]);
    expect(ownLags(at([0, 0.65]), at([0.25]), 1.1)).toHaveLength(1);
    expect(ownLags(at([0, 1.7]), at([0.25]), 1.1)).toEqual([]);
  });

  it('does not count on one side while the other surely walks: no horse does both', () => {
    const near = ownLags(at([0, 1.1, 1.9, 3]), at([0.25, 1.5, 2.16]), 1.1);
    const walking = ownLags(at([0.55, 1.65, 2.75]), at([0.8, 1.9]), 1.1);
    const jogging = ownLags(at([0.55, 1.5, 2.3, 3.4]), at([0.8, 1.9, 2.56]), 1.1);
    expect(withoutMistaken(near, walking)).toEqual([near[0], near[2]]);
    expect(withoutMistaken(near, jogging)).toEqual(near);
    expect(withoutMistaken(near, [])).toEqual(near);
  });
});

it('of a pass of walk and jog no mean over strides is given, but how fast it went and how the head was carried', () => {
  const jogged = CLIPS['side-pass-jog-steps'];
  if (!jogged) throw new Error('no such plan');
  const plan = fromStillCamera(jogged);
  const truth = truthOf(plan, () => NOTHING_HIDDEN);
  const [pass] = measure(observedExactly(plan, truth, 1), [], truth.withersM).passes;
  if (!pass) throw new Error('no pass was found');
  expect(pass.warnings).toContain('notAWalk');
  const { speedMps, froude, headAboveWithersM, headNodM, croupAboveWithersM, limbPhaseFraction, ...strides } =
    pass.measures;
  for (const m of [speedMps, froude, headAboveWithersM, headNodM, croupAboveWithersM])
    expect(m).toHaveProperty('value');
  for (const m of [...Object.values(strides), ...Object.values(limbPhaseFraction)])
    expect(m).toEqual({ reason: 'mixedGaits' });
  expect(pass.overtracks.every(({ m }) => m === null)).toBe(true);
});
