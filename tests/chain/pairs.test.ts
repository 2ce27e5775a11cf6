/** Two workers find the points of every other picture each; what is seen must not tell. */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync } from 'node:fs';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { ffmpegPath, root } from '../support/programs.ts';
import { startChain, type Chain } from './chain.ts';

const cache = `${root}/tests/.cache/pairs`;

/** The middle second and a half of the first sample clip. */
function shortClip(): string {
  const to = `${cache}/short.mp4`;
  mkdirSync(cache, { recursive: true });
  const from = `${root}/sample-clips/side-pass.mp4`;
  const coding = ['-c:v', 'libx264', '-threads', '1', '-preset', 'veryfast', '-crf', '16'];
  if (!existsSync(to))
    execFileSync(ffmpegPath(), ['-v', 'error', '-y', '-ss', '1.5', '-i', from, '-t', '1.5', ...coding, to]);
  return to;
}

let chain: Chain;
beforeAll(async () => {
  chain = await startChain();
});
afterAll(() => chain.close());

it('one worker and two see the same, to the last digit', async () => {
  const seenBy = async (processors: number): Promise<{ seen: string; workers: number }> => {
    const names: string[] = [];
    chain.page.on('worker', (worker) => names.push(worker.url()));
    await chain.page.evaluate(
      (count) =>
        Object.defineProperty(navigator, 'hardwareConcurrency', { value: count, configurable: true }),
      processors,
    );
    const { seen } = await chain.runSeen(shortClip(), 1.6);
    chain.page.removeAllListeners('worker');
    return { seen: JSON.stringify(seen), workers: names.filter((url) => url.includes('keypoints')).length };
  };
  const [one, two] = [await seenBy(1), await seenBy(2)];
  expect([one.workers, two.workers]).toEqual([1, 2]);
  expect(JSON.parse(one.seen).frames.length).toBeGreaterThan(80);
  expect(two.seen).toBe(one.seen);
});
