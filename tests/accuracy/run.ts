/** Draws the bench's clips where they are not yet drawn, runs the whole chain on each, and holds it against the truth. */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { startChain } from '../chain/chain.ts';
import { root } from '../support/programs.ts';
import { openStudio, type Programs } from '../truth/make.ts';
import type { ClipPlan } from '../truth/plans.ts';
import type { TruthFile } from '../truth/truth.ts';
import { samplesOf } from './compare.ts';
import type { Sample } from './figures.ts';
import type { BenchClip } from './set.ts';

/** To be raised with any change of the drawing that plans don't show. */
const DRAWING_VERSION = 3;
const cache = `${root}/tests/.cache/accuracy`;

const stemOf = (name: string, plan: ClipPlan): string => {
  const content = JSON.stringify([DRAWING_VERSION, plan]);
  return `${cache}/${name}-${createHash('sha256').update(content).digest('hex').slice(0, 12)}`;
};

/** As many as use two cores fully. */
const AT_ONCE = 2;

/** Draws those clips that the cache lacks; it can be stopped and goes on where it was. */
export async function drawClips(
  programs: Programs,
  clips: readonly BenchClip[],
  say: (text: string) => void,
): Promise<void> {
  const missing = clips.filter(({ name, plan }) => !existsSync(`${stemOf(name, plan)}.truth.json`));
  if (missing.length === 0) return;
  mkdirSync(cache, { recursive: true });
  const studio = await openStudio(programs);
  const waiting = [...missing];
  const drawNext = async (): Promise<void> => {
    for (let clip = waiting.shift(); clip; clip = waiting.shift()) {
      await studio.make(clip.plan, stemOf(clip.name, clip.plan));
      say(`${clip.name} drawn, ${waiting.length} of ${missing.length} not yet begun`);
    }
  };
  try {
    await Promise.all(Array.from({ length: AT_ONCE }, drawNext));
  } finally {
    await studio.close();
  }
}

/** Throws where the clip's frames do not come at the times of its truth: nothing could be held against it. */
function checkTimes(name: string, timesS: readonly number[], truth: TruthFile): void {
  const off = timesS.filter((t) => !truth.frames.some((f) => Math.abs(f.timeS - t) < 1e-3)).length;
  if (off > 0)
    throw new Error(`${name}: ${off} of ${timesS.length} frames come at times that its truth lacks`);
}

/** Runs the chain on drawn clips. */
export async function measureClips(
  clips: readonly BenchClip[],
  say: (text: string) => void,
): Promise<Sample[]> {
  const chain = await startChain();
  const samples: Sample[] = [];
  try {
    for (const { name, plan, groups } of clips) {
      const stem = stemOf(name, plan);
      const truth = JSON.parse(readFileSync(`${stem}.truth.json`, 'utf8')) as TruthFile;
      const { seen } = await chain.runSeen(`${stem}.mp4`, truth.withersM);
      checkTimes(
        name,
        seen.frames.map((f) => f.timeS),
        truth,
      );
      const own = samplesOf(seen, truth, groups);
      samples.push(...own);
      const overtrack = own.find((s) => s.measure === 'overtrackM');
      say(`${name}: overtrack off by ${overtrack?.error?.toFixed(1) ?? overtrack?.reason ?? '-'} cm`);
    }
  } finally {
    await chain.close();
  }
  return samples;
}
