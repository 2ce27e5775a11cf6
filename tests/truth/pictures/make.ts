/** Draws seeded pictures with labels in a headless Chromium. Run by scripts/pictures.mjs. */
import { mkdirSync, writeFileSync } from 'node:fs';
import type { Browser, Page } from 'playwright-core';
import { build } from 'vite';
import { POINT_NAMES } from '../../../src/points.ts';
import type { LabelsFile, PictureLabels } from './labels.ts';
import type {} from './page.ts';
import type { DrawnPicture } from './picture.ts';
import { runPlan } from './plans.ts';

export interface PicturesWanted {
  readonly root: string;
  readonly browser: () => Promise<Browser>;
  readonly count: number;
  readonly seed: number;
  readonly size: number;
  /** Pages that draw at the same time. */
  readonly pages: number;
}

/** The page's script as text: no server, so that any number of runs may share a machine. */
export async function script(root: string): Promise<string> {
  const made = await build({
    ...{ root, configFile: false, logLevel: 'error', publicDir: false },
    build: {
      ...{ write: false, minify: false, target: 'es2022' },
      lib: { entry: `${root}/tests/truth/pictures/page.ts`, formats: ['iife'], name: 'pictures' },
    },
  });
  const [output] = [made].flat();
  if (!output || !('output' in output)) throw new Error('nothing was built');
  return output.output[0].code;
}

export async function openPage(browser: Browser, code: string, size: number): Promise<Page> {
  const page = await browser.newPage();
  page.on('pageerror', (error) => process.stderr.write(`${error.stack ?? error.message}\n`));
  await page.addScriptTag({ content: code });
  await page.evaluate((px) => globalThis.picturesPage.start(px), size);
  return page;
}

/** Every picture with its labels, scene by scene, in no fixed order. */
export async function drawPictures(
  wanted: PicturesWanted,
  take: (file: string, jpeg: Buffer, labels: PictureLabels) => void,
): Promise<void> {
  const left = runPlan(wanted.seed, wanted.count).map((run, i) => ({ ...run, i }));
  const code = await script(wanted.root);
  const browser = await wanted.browser();
  const hand = ({ jpeg, labels }: DrawnPicture, i: number, k: number): void => {
    const file = `${wanted.seed}-${String(i).padStart(4, '0')}-${String(k).padStart(2, '0')}.jpg`;
    take(file, Buffer.from(jpeg, 'base64'), { file, ...labels });
  };
  const work = async (): Promise<void> => {
    const page = await openPage(browser, code, wanted.size);
    for (let run = left.shift(); run; run = left.shift()) {
      const { scene, shots, i } = run;
      const drawn = await page.evaluate(([s, list]) => globalThis.picturesPage.scene(s, list), [
        scene,
        shots,
      ] as const);
      drawn.forEach((picture, k) => hand(picture, i, k));
    }
  };
  try {
    await Promise.all(Array.from({ length: Math.min(wanted.pages, left.length) }, work));
  } finally {
    await browser.close();
  }
}

/** Writes the pictures and labels.json to a folder. */
export async function makePictures(
  wanted: PicturesWanted,
  out: string,
  say: (text: string) => void,
): Promise<void> {
  mkdirSync(out, { recursive: true });
  const images: PictureLabels[] = [];
  const began = performance.now();
  await drawPictures(wanted, (file, jpeg, labels) => {
    writeFileSync(`${out}/${file}`, jpeg);
    images.push(labels);
    if (images.length % 300 === 0) {
      const perS = (1000 * images.length) / (performance.now() - began);
      say(`${images.length} of ${wanted.count} pictures, ${perS.toFixed(1)} a second`);
    }
  });
  images.sort((a, b) => (a.file < b.file ? -1 : 1));
  const head: LabelsFile = { names: POINT_NAMES, size: wanted.size, images: [] };
  // One line a picture.
  const rows = images.map((image) => JSON.stringify(image)).join(',\n');
  writeFileSync(
    `${out}/labels.json`,
    JSON.stringify(head).replace('"images":[]', () => `"images":[\n${rows}\n]`),
  );
}
