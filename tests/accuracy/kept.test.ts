/** What was seen in a clip, kept in files, gives the same figures again. */
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { afterAll, expect, it } from 'vitest';
import { CLIPS, type ClipPlan } from '../truth/plans.ts';
import { truthOf } from '../truth/truth.ts';
import { samplesOf } from './compare.ts';
import { NOTHING_HIDDEN, observedExactly } from './exact.ts';
import { keep, measureKept } from './kept.ts';
import type { BenchClip } from './set.ts';

const folder = mkdtempSync(`${tmpdir()}/ledwalk-kept-`);
afterAll(() => rmSync(folder, { recursive: true }));

const clipOf = (name: string): BenchClip => ({
  ...{ name, plan: CLIPS['side-pass'] as ClipPlan, kind: 'tripod', obliqueDeg: 0, jogs: false },
  groups: ['tripod'],
});

it('kept clips are measured as when they were seen; others are told of', () => {
  const clip = clipOf('one');
  const truth = truthOf(clip.plan, () => NOTHING_HIDDEN);
  const seen = observedExactly(clip.plan, truth, 1);
  keep(`${folder}/new`, clip.name, { seen, truth });
  expect(readdirSync(`${folder}/new`).sort()).toEqual(['one.seen.json.gz', 'one.truth.json.gz']);
  const said: string[] = [];
  const samples = measureKept(`${folder}/new`, [clip, clipOf('two')], (text) => said.push(text));
  expect(samples).toEqual(samplesOf(seen, truth, clip.groups));
  expect(samples.find(({ measure }) => measure === 'overtrackM')?.error).toBeTypeOf('number');
  expect(said).toEqual([expect.stringContaining('one: overtrackM off by'), `two: not in ${folder}/new`]);
});

it('pictures at other times than those of the truth are refused', () => {
  const clip = clipOf('late');
  const truth = truthOf(clip.plan, () => NOTHING_HIDDEN);
  const seen = observedExactly(clip.plan, truth, 1);
  const frames = seen.frames.map((frame) => ({ ...frame, timeS: frame.timeS + 0.004 }));
  keep(folder, clip.name, { seen: { ...seen, frames }, truth });
  expect(() => measureKept(folder, [clip], () => undefined)).toThrow('288 of 288 frames');
});
