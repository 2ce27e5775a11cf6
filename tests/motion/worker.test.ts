import { afterAll, beforeAll, expect, it } from 'vitest';
import type { startMotion } from '../../src/motion/client.ts';
import { type App, startApp } from '../support/browser.ts';

let app: App;
beforeAll(async () => {
  app = await startApp();
});
afterAll(() => app.close());

it('the worker loads OpenCV in a real browser and follows a shifted picture', async () => {
  const page = await app.blank();
  const result = await page.evaluate(async () => {
    const client = (await load('/src/motion/client.ts')) as { startMotion: typeof startMotion };
    const motion = client.startMotion();
    const early = await motion
      .step({
        gray: { widthPx: 1, heightPx: 1, data: new Uint8Array(1) },
        timeS: 0,
        pictureWidthPx: 1,
        pictureHeightPx: 1,
        masks: [],
      })
      .then(
        () => 'no error',
        (error: unknown) => String(error),
      );
    await motion.start();
    // Blobs of a fixed pattern, so that every corner is one of a kind.
    const picture = (dx: number) => {
      const data = new Uint8Array(640 * 360);
      for (let y = 0; y < 360; y++)
        for (let x = 0; x < 640; x++) {
          const [u, v] = [x + dx, y];
          data[y * 640 + x] =
            128 + 50 * Math.sin(u / 5 + 3 * Math.sin(v / 17)) + 50 * Math.sin(v / 6 + 2 * Math.sin(u / 23));
        }
      return { widthPx: 640, heightPx: 360, data };
    };
    const steps = [];
    for (let i = 0; i < 12; i++) {
      const gray = picture(3 * i);
      steps.push(
        await motion.step({ gray, timeS: i / 30, pictureWidthPx: 1280, pictureHeightPx: 720, masks: [] }),
      );
    }
    motion.end();
    return { early, steps };
  });
  expect(result.early).toContain('before it was started');
  expect(result.steps.every(({ ok }) => ok)).toBe(true);
  for (const { toPrevious } of result.steps.slice(1)) {
    expect(toPrevious.tx).toBeCloseTo(6, 0);
    expect(Math.abs(toPrevious.ty)).toBeLessThan(0.2);
  }
});
