import { expect, it } from 'vitest';
import { observedSeries } from '../../src/track/series.ts';
import { IDENTITY } from '../../src/track/similarity.ts';

it('points of a head of which little is seen are left out, those of the trunk are taken with less trust', () => {
  const at = (score: number): { x: number; y: number; score: number } => ({ x: 100, y: 50, score });
  const frame = (score: number) => ({
    timeS: 0,
    horse: { box: [0, 0, 1, 1] as const, view: 'left', points: { poll: at(score), withers: at(score) } },
  });
  const series = observedSeries([frame(0.2), frame(0.4)], [IDENTITY, IDENTITY]);
  expect([...series.poll.score]).toEqual([0, 0.4]);
  expect([...series.withers.score]).toEqual([0.2, 0.4]);
});
