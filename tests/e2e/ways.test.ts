/** Other ways through the page as it is shipped: giving up, files that are hard or wrong, fingers, keys alone. */
import type { BrowserContextOptions } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { SAMPLES } from '../../src/ui/samples.ts';
import { sideEntries } from '../support/sideEntries.ts';
import { startBuilt, type Built } from './built.ts';
import { brokenAvi, shortPass, twoHorses, wholePass } from './clips.ts';
import type { Visit } from './visit.ts';

const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };

let built: Built;
let visit: Visit;
beforeAll(async () => {
  built = await startBuilt();
});
afterAll(async () => {
  await built.close();
});
afterEach(async () => {
  await visit.close();
  expect(visit.errors).toEqual([]);
  expect(visit.requests).toBeGreaterThan(5);
  expect(visit.foreign).toEqual([]);
});

const corrections = (): Promise<number> => visit.page.locator('.corrections li').count();

it('says of a file that is no video which one it is and why', async () => {
  visit = await built.visit();
  const buffer = Buffer.from('Notes on the mare, kept where the clip should be.');
  await visit.page.setInputFiles('input[type=file]', { name: 'mare.mp4', mimeType: 'video/mp4', buffer });
  await visit.page.waitForSelector('[role=alert]');
  expect(await visit.text('[role=alert]')).toBe('“mare.mp4” is not a video. It holds text.');
  await visit.noWorkers();
});

it('offers the drawn clips that ship, and fills in the height of the one that is taken', async () => {
  visit = await built.visit();
  const button = (title: string) => visit.page.getByRole('button', { name: title, exact: true });
  for (const { title } of SAMPLES) await button(title).waitFor();
  const { title, withersM } = SAMPLES[1] ?? { title: '', withersM: NaN };
  await button(title).click();
  await visit.page.waitForSelector('.reading');
  const height = visit.page.getByLabel('Height at the withers in centimetres');
  await expect.poll(() => height.inputValue()).toBe(String(100 * withersM));
  await visit.page.getByRole('button', { name: 'Cancel' }).click();
  await visit.noWorkers();
});

describe.skipIf(shortPass === null || wholePass === null)('a reading', () => {
  const reading = (): Promise<unknown> => visit.page.getByText('Finding the points of the horse').waitFor();

  it('that is broken off by a reload or given up leaves nothing behind, and another clip can be read', async () => {
    visit = await built.visit();
    await visit.give(wholePass as string);
    await reading();
    await visit.reload();
    await visit.give(wholePass as string);
    await reading();
    // The fourth, which looks at every other picture, comes when it is known where the network runs.
    expect([3, 4]).toContain(visit.page.workers().length);
    await visit.page.getByRole('button', { name: 'Cancel' }).click();
    await visit.page.getByRole('button', { name: 'Choose a clip' }).waitFor();
    await visit.noWorkers();
    expect(await visit.page.locator('[role=alert]').count()).toBe(0);

    await visit.give(shortPass as string);
    await visit.done();
    const { clip } = await visit.saved();
    expect(await visit.text('.method')).toContain(`${clip.frames} pictures decoded`);
    expect(Math.abs(clip.frames - clip.durationS * clip.meanFps)).toBeLessThan(1.5);
    expect(clip.name).toBe((shortPass as string).split('/').at(-1));
  });

  it('that nothing can be kept of gives its numbers all the same, and says so', async () => {
    visit = await built.visit();
    await visit.page.addInitScript(() =>
      Object.defineProperty(globalThis, 'indexedDB', { value: undefined }),
    );
    await visit.reload();
    await visit.give(shortPass as string);
    await visit.done();
    expect(await visit.text('[role=alert]')).toContain('does not let the page store anything here');
    expect(sideEntries(await visit.saved())).toHaveLength(1);
  });

  it('for which a part of the page can’t be loaded ends with the reason', async () => {
    visit = await built.visit();
    await visit.page.context().route(/motion-[^/]*\.js$/, (route) => route.abort());
    await visit.give(shortPass as string);
    await visit.page.waitForSelector('.intake .failure');
    expect(await visit.text('.intake .failure')).toContain('follows the ground could not be loaded');
    await visit.noWorkers();
  });

  it('without https keeps the corrections of one clip away from the next', async () => {
    visit = await built.visit();
    await visit.page.addInitScript(() => {
      Object.defineProperty(Crypto.prototype, 'subtle', { value: undefined });
      Object.defineProperty(Crypto.prototype, 'randomUUID', { value: undefined });
    });
    await visit.reload();
    await visit.give(shortPass as string);
    await visit.done();
    expect(await visit.text('[role=alert]')).toContain('Without a secure connection (https)');
    await visit.page.locator('[data-point=withers]').focus();
    await visit.page.keyboard.press('ArrowUp');
    await visit.page.locator('.corrections').waitFor();
    expect(await corrections()).toBe(1);
    await visit.page.getByRole('button', { name: 'Another clip' }).click();
    await visit.give(brokenAvi());
    await visit.done();
    expect(await corrections()).toBe(0);
  });
});

describe.skipIf(shortPass === null)('a clip that browsers cannot play, cut off', () => {
  it('is shown, its damage told, now and at the next visit', async () => {
    const file = brokenAvi();
    visit = await built.visit();
    await visit.give(file);
    await visit.done();
    const damage = await visit.text('.damage');
    expect(damage).toMatch(/^“broken\.avi” (is damaged or cut off|breaks off)/);
    const saved = await visit.saved();
    expect(saved.clip).toMatchObject({ decoder: 'ffmpeg', damage });

    for (const frame of [3, 8]) {
      await visit.page.getByLabel('Place in the clip').fill(String(frame));
      await visit.settled();
      const shown = await visit.page.evaluate(() => document.querySelector('video')?.currentTime ?? NaN);
      const frameS = parseFloat(await visit.text('.where'));
      expect(shown - frameS).toBeGreaterThan(0);
      expect(shown - frameS).toBeLessThan(1 / saved.clip.meanFps);
    }
    expect(await picturesDiffer()).toBe(true);

    await visit.reload();
    await visit.give(file);
    await visit.done();
    expect(visit.workersStarted.filter((path) => /keypoints|motion/.test(path))).toEqual([]);
    expect(await visit.text('.damage')).toBe(damage);
    expect(await visit.saved()).toEqual(saved);
    expect(await visit.page.evaluate(() => document.querySelector('video')?.videoWidth ?? 0)).toBeGreaterThan(
      0,
    );
  });

  /** Whether the video holds real pictures: their lightness varies over the picture. */
  const picturesDiffer = (): Promise<boolean> =>
    visit.page.evaluate(() => {
      const video = document.querySelector('video');
      const context = new OffscreenCanvas(64, 36).getContext('2d');
      if (!video || !context) return false;
      context.drawImage(video, 0, 0, 64, 36);
      const { data } = context.getImageData(0, 0, 64, 36);
      const greens = new Set([...data].filter((_, i) => i % 4 === 1));
      return greens.size > 30;
    });
});

describe.skipIf(shortPass === null)('another horse', () => {
  /** Share of the picture's width at which the withers are shown. */
  const withersAt = async (): Promise<number> => {
    const stage = await visit.page.locator('.stage').boundingBox();
    return ((await visit.middleOf('[data-point=withers]')).x - (stage?.x ?? NaN)) / (stage?.width ?? NaN);
  };

  it('is followed once it is chosen, at the next visit too', async () => {
    const file = twoHorses();
    visit = await built.visit();
    await visit.give(file);
    await visit.done();
    expect(await withersAt()).toBeLessThan(0.5);
    await visit.page.getByLabel('Place in the clip').fill('1');
    await visit.settled();
    await visit.page.getByRole('button', { name: 'Another horse' }).click();
    await visit.page.getByRole('button', { name: 'Horse 2: follow this one' }).click({ timeout: 60_000 });
    await visit.done();
    const chosen = await visit.text('.method');
    expect(chosen).toMatch(/horse chosen by hand at 0\.\d+\ss is followed/);
    await visit.page.getByLabel('Place in the clip').fill('4');
    expect(await withersAt()).toBeGreaterThan(0.5);

    await visit.reload();
    await visit.give(file);
    await visit.done();
    expect(visit.workersStarted).toEqual([]);
    expect(await visit.text('.method')).toContain('horse chosen by hand');
    await visit.page.getByLabel('Place in the clip').fill('4');
    expect(await withersAt()).toBeGreaterThan(0.5);

    // Its corrections are there when it is chosen again, at whatever time.
    await visit.settled();
    await visit.page.locator('[data-point=withers]').focus();
    await visit.page.keyboard.press('ArrowUp');
    await visit.page.locator('.corrections').waitFor();
    await visit.page.getByRole('button', { name: 'Another horse' }).click();
    await visit.page.getByRole('button', { name: 'The horse found by itself' }).click();
    await visit.done();
    expect(await corrections()).toBe(0);
    await visit.page.getByLabel('Place in the clip').fill('8');
    await visit.settled();
    await visit.page.getByRole('button', { name: 'Another horse' }).click();
    await visit.page.getByRole('button', { name: 'Horse 2: follow this one' }).click({ timeout: 60_000 });
    await visit.done();
    expect(await corrections()).toBe(1);
    expect(await visit.text('.method')).toContain(/chosen by hand at 0\.\d+/.exec(chosen)?.[0]);
  });
});

describe.skipIf(shortPass === null)('a point', () => {
  /** What is left behind by a visit at which the short clip was read. */
  let kept: BrowserContextOptions;
  beforeAll(async () => {
    const before = await built.visit();
    await before.give(shortPass as string);
    await before.done();
    kept = { storageState: await before.page.context().storageState({ indexedDB: true }) };
    await before.close();
  });
  const visitAgain = (options: BrowserContextOptions = {}): Promise<Visit> =>
    built.visit({ ...options, ...kept });
  /** Shown as it was found at that visit, not read anew. */
  const doneAgain = async () => {
    await visit.done();
    expect(await visit.text('.method')).toContain('at an earlier visit');
    expect(visit.workersStarted).toEqual([]);
  };

  it('is dragged by a finger on a phone, and nothing scrolls sideways', async () => {
    visit = await visitAgain(PHONE);
    const overflow = () => visit.page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(await overflow()).toBeLessThanOrEqual(0);
    await visit.give(shortPass as string);
    await doneAgain();
    await visit.settled();
    expect(await overflow()).toBeLessThanOrEqual(0);
    const point = `[data-point=${await visit.nearSide()}_fore_knee]`;
    await visit.page.locator('.stage').scrollIntoViewIfNeeded();
    const [from, scrolled] = [await visit.middleOf(point), await visit.page.evaluate(() => scrollY)];
    const touch = await visit.page.context().newCDPSession(visit.page);
    const send = (type: string, dy: number | null) =>
      touch.send('Input.dispatchTouchEvent', {
        type: type as 'touchStart',
        touchPoints: dy === null ? [] : [{ x: from.x + 5, y: from.y + 5 + dy }],
      });
    await send('touchStart', 0);
    for (const dy of [-6, -14, -22]) await send('touchMove', dy);
    await send('touchEnd', null);
    await visit.page.locator('.corrections').waitFor();
    expect(await corrections()).toBe(1);
    expect(await visit.page.evaluate(() => scrollY)).toBe(scrolled);
    expect((await visit.middleOf(point)).y - from.y).toBeCloseTo(-22, 0);
    expect(await overflow()).toBeLessThanOrEqual(0);
  });

  it('is moved by the keyboard alone, from choosing the file on', async () => {
    visit = await visitAgain();
    const { keyboard } = visit.page;
    const focused = () => visit.page.evaluate(() => document.activeElement?.textContent ?? '');
    const tabTo = async (isThere: () => Promise<boolean>) => {
      for (let i = 0; i < 60 && !(await isThere()); i++) await keyboard.press('Tab');
      expect(await isThere()).toBe(true);
    };
    visit.page.on('filechooser', (chooser) => void chooser.setFiles(shortPass as string));
    await tabTo(async () => (await focused()) === 'Choose a clip');
    await keyboard.press('Enter');
    await doneAgain();
    const [before] = await frameShown();
    await keyboard.press('.');
    await keyboard.press('.');
    await keyboard.press(',');
    expect(await frameShown()).toEqual([(before ?? NaN) + 1]);

    const point = () => visit.page.evaluate(() => document.activeElement?.getAttribute('data-point') ?? null);
    await tabTo(async () => (await point())?.endsWith('_fore_hoof') ?? false);
    const name = await point();
    const from = await visit.middleOf(`[data-point=${name}]`);
    await keyboard.press('Shift+ArrowRight');
    await keyboard.press('ArrowUp');
    await visit.page.locator('.corrections').waitFor();
    expect(await corrections()).toBe(1);
    const to = await visit.middleOf(`[data-point=${name}]`);
    expect(to.x).toBeGreaterThan(from.x);
    expect(to.y).toBeLessThan(from.y);
    expect(await point()).toBe(name);
    await keyboard.press('Control+z');
    expect(await corrections()).toBe(0);
    expect((await visit.middleOf(`[data-point=${name}]`)).x).toBeCloseTo(from.x, 3);
  });

  /** Number of the frame, counted from 1. */
  const frameShown = async (): Promise<number[]> =>
    [...(/frame (\d+)/.exec(await visit.text('.where')) ?? [])].slice(1).map(Number);
});
