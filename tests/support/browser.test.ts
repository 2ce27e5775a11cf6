import { afterAll, beforeAll, expect, it } from 'vitest';
import { giveFiles, root, startApp, type App } from './browser.ts';

let app: App;
beforeAll(async () => {
  app = await startApp();
});
afterAll(async () => {
  await app.close();
});

it('runs a module of the project on an isolated page', async () => {
  const page = await app.blank();
  const found = await page.evaluate(async () => {
    const points = (await load('/src/points.ts')) as typeof import('../../src/points.ts');
    return { isolated: crossOriginIsolated, mirrored: points.mirrorName('left_fore_hoof') };
  });
  expect(found).toEqual({ isolated: true, mirrored: 'right_fore_hoof' });
  await page.close();
});

it('runs without isolation too', async () => {
  const page = await app.blank({ isolated: false });
  expect(await page.evaluate(() => crossOriginIsolated)).toBe(false);
  await page.close();
});

it('gives files of this machine to a page', async () => {
  const page = await app.blank();
  await giveFiles(page, [`${root}/package.json`]);
  expect(await page.evaluate(async () => (await fileNamed('package.json').text()).includes('ledwalk'))).toBe(
    true,
  );
  await page.close();
});
