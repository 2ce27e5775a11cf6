/** Drawn led horses that no training has seen, with labels to the tenth of a pixel; drawn once, kept in tests/.cache. */
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { launchChromium, root } from '../../support/programs.ts';
import type { PictureLabels } from '../../truth/pictures/labels.ts';
import { openPage, script } from '../../truth/pictures/make.ts';
import { runPlan } from '../../truth/pictures/plans.ts';

/** Training has used 1001 to about 1060. Each seed has another horse, yard and light. */
const FIRST_SEED = 14_000;
const HORSES = 30;
const PICTURES_EACH = 12;
/** As `npm run pictures` has it. */
const SIZE_PX = 352;
/** To be raised with any change of the drawing. */
const folder = `${root}/tests/.cache/network-1`;

export interface DrawnFile extends PictureLabels {
  readonly path: string;
}

/** Draws what the cache lacks, a labels file last, so that it can be stopped and goes on where it was. */
export async function drawnPictures(say: (text: string) => void): Promise<DrawnFile[]> {
  const seeds = Array.from({ length: HORSES }, (_, i) => FIRST_SEED + i);
  const missing = seeds.filter((seed) => !existsSync(`${folder}/${seed}.json`));
  if (missing.length > 0) await draw(missing, say);
  const kept = (seed: number): PictureLabels[] =>
    JSON.parse(readFileSync(`${folder}/${seed}.json`, 'utf8')) as PictureLabels[];
  return seeds.flatMap(kept).map((labels) => ({ ...labels, path: `${folder}/${labels.file}` }));
}

async function draw(seeds: readonly number[], say: (text: string) => void): Promise<void> {
  mkdirSync(folder, { recursive: true });
  const browser = await launchChromium({ webgl: true });
  try {
    const page = await openPage(browser, await script(root), SIZE_PX);
    for (const seed of seeds) {
      const [run] = runPlan(seed, PICTURES_EACH);
      if (!run) throw new Error(`seed ${seed} has no scene`);
      const drawn = await page.evaluate(([s, list]) => globalThis.picturesPage.scene(s, list), [
        run.scene,
        run.shots,
      ] as const);
      const files = drawn.map(({ jpeg, labels }, k): PictureLabels => {
        const file = `${seed}-${String(k).padStart(2, '0')}.jpg`;
        writeFileSync(`${folder}/${file}`, Buffer.from(jpeg, 'base64'));
        return { ...labels, file };
      });
      writeFileSync(`${folder}/unfinished.json`, JSON.stringify(files));
      renameSync(`${folder}/unfinished.json`, `${folder}/${seed}.json`);
      say(`drawn horse ${seed - FIRST_SEED + 1} of ${HORSES}`);
    }
  } finally {
    await browser.close();
  }
}
