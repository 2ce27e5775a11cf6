/** Draws the bench's clips where they are not yet drawn, runs the whole chain on each, and holds it against the truth. */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { startChain } from '../chain/chain.ts';
import { root } from '../support/programs.ts';
import { openStudio, type Programs } from '../truth/make.ts';
import type { TruthFile } from '../truth/truth.ts';
import { heldAgainst } from './compare.ts';
import type { Sample } from './figures.ts';
import { keep } from './kept.ts';
import type { BenchClip } from './set.ts';

/** To be raised with any change of the drawing that plans don't show. */
const DRAWING_VERSION = 3;
const cache = `${root}/tests/.cache/accuracy`;

const stemOf = ({ name, plan, stem }: BenchClip): string => {
  if (stem !== undefined) return stem;
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
  const missing = clips.filter((clip) => !existsSync(`${stemOf(clip)}.truth.json`));
  if (missing.length === 0) return;
  mkdirSync(cache, { recursive: true });
  const studio = await openStudio(programs);
  const waiting = [...missing];
  const drawNext = async (): Promise<void> => {
    for (let clip = waiting.shift(); clip; clip = waiting.shift()) {
      await studio.make(clip.plan, stemOf(clip));
      say(`${clip.name} drawn, ${waiting.length} of ${missing.length} not yet begun`);
    }
  };
  try {
    await Promise.all(Array.from({ length: AT_ONCE }, drawNext));
  } finally {
    await studio.close();
  }
}

/** Runs the chain on drawn clips; `keepIn`: where what was seen is kept, if anywhere. */
export async function measureClips(
  clips: readonly BenchClip[],
  say: (text: string) => void,
  keepIn: string | null = null,
): Promise<Sample[]> {
  const chain = await startChain();
  const samples: Sample[] = [];
  try {
    for (const clip of clips) {
      const stem = stemOf(clip);
      const truth = JSON.parse(readFileSync(`${stem}.truth.json`, 'utf8')) as TruthFile;
      const { seen } = await chain.runSeen(`${stem}.mp4`, truth.withersM);
      if (keepIn !== null) keep(keepIn, clip.name, { seen, truth });
      samples.push(...heldAgainst(clip, seen, truth, say));
    }
  } finally {
    await chain.close();
  }
  return samples;
}
