/** The drawn clips that the page offers, and what it says of them. */
import {
  closeSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readFileSync,
  readdirSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { describe, expect, it } from 'vitest';
import { REASONS } from '../../src/gait/reasons.ts';
import { SAMPLES } from '../../src/ui/samples.ts';
import { NO_PASS_ADVICE } from '../../src/ui/words.ts';
import { root } from '../support/programs.ts';
import type { TruthFile } from '../truth/truth.ts';
import { DESK, type FixturePage, fixturePages } from './fixturePage.ts';

const FOLDER = `${root}/sample-clips`;

describe('the clips offered', () => {
  it('are all that ship', () => {
    const shipped = readdirSync(FOLDER).filter((name) => name.endsWith('.mp4'));
    expect(SAMPLES.map(({ fileName }) => fileName).sort()).toEqual(shipped.sort());
  });

  it.each(SAMPLES)(
    '$fileName: the height is that of its truth, and what is not measured is said',
    (sample) => {
      const path = `${FOLDER}/${sample.fileName.replace('.mp4', '.truth.json')}`;
      const { withersM, passes } = JSON.parse(readFileSync(path, 'utf8')) as TruthFile;
      expect(sample.withersM).toBe(withersM);
      const more = passes.some(({ kind }) => kind === 'stand');
      expect(sample.unmeasured !== undefined).toBe(more);
      expect(sample.noPassWords !== undefined).toBe(
        !passes.some(({ kind }) => kind !== 'stand' && kind !== 'turn'),
      );
    },
  );
});

describe('laid beside the page', () => {
  it('they are there whole or not at all, and one that is gone is taken away', async () => {
    const { layFolder } = (await import(`${root}/scripts/assets.mjs` as string)) as {
      layFolder(from: string, to: string, ending: string): void;
    };
    mkdirSync(`${root}/tests/.cache`, { recursive: true });
    const folder = mkdtempSync(`${root}/tests/.cache/laid-`);
    const [from, to] = [`${folder}/from`, `${folder}/to`];
    for (const made of [from, to]) mkdirSync(made);
    writeFileSync(`${to}/gone.mp4`, 'gone');
    writeFileSync(`${from}/walk.truth.json`, '{}');
    writeFileSync(`${from}/walk.mp4`, 'old');
    layFolder(from, to, '.mp4');
    expect(readdirSync(to)).toEqual(['walk.mp4']);

    const served = openSync(`${to}/walk.mp4`, 'r');
    writeFileSync(`${from}/walk.mp4`, 'drawn anew');
    layFolder(from, to, '.mp4');
    expect(readFileSync(served, 'utf8')).toBe('old');
    expect(readFileSync(`${to}/walk.mp4`, 'utf8')).toBe('drawn anew');
    closeSync(served);
    rmSync(folder, { recursive: true });
  });
});

describe('on the page', () => {
  const open = fixturePages();
  let fixture: FixturePage;
  const lines = () => fixture.page.locator('.samples li').allInnerTexts();
  const field = () => fixture.page.getByLabel('Height at the withers in centimetres');
  const take = async (title: string) => {
    await fixture.sample(title).click();
    await fixture.done();
  };

  it('they stand on the empty page with their heights, in the units chosen', async () => {
    fixture = await open('', DESK);
    await fixture.sample().waitFor();
    expect(await lines()).toHaveLength(SAMPLES.length);
    expect((await lines())[4]).toMatch(/^Standing\s+palomino.*; 155\scm$/);
    await fixture.page.locator('.withers select').selectOption('imperial');
    expect((await lines())[0]).toMatch(/; 15\shands 3\.75\sinches$/);
  });

  it('the one taken has its own height, which counts over one typed in before and is no other horse’s', async () => {
    fixture = await open('', DESK);
    await field().fill('171');
    await take('Standing');
    expect(await fixture.text('.clip-line strong')).toBe('Standing');
    expect(await field().inputValue()).toBe('155');
    expect((await fixture.text('.drawn')).replaceAll('\u00a0', ' ')).toContain(
      'stands 155 cm at the withers',
    );
    await fixture.page.getByRole('button', { name: 'Another clip' }).click();
    expect(await field().inputValue()).toBe('');
    expect(await fixture.text('.last-height')).toMatch(/^171\scm/);
    await take('A short, hurried walk past');
    expect(await field().inputValue()).toBe('158');
    // What is typed in for the drawn horse counts, as for any other.
    await field().fill('150');
    await fixture.page.waitForFunction(() => globalThis.session.withersM.peek() === 1.5);
    expect(await fixture.text('.drawn')).toMatch(/stands 158\scm/);
    await fixture.page.getByRole('button', { name: 'Another clip' }).click();
    expect(await fixture.text('.last-height')).toMatch(/^171\scm/);
  });

  it('what is not measured of one is said, of no other', async () => {
    fixture = await open('', DESK);
    for (const [title, words] of [
      ['Standing', 'a stand is not measured: these numbers of a walk are wrong'],
      ['A triangle', null],
      ['A free walk past', null],
    ] as const) {
      await take(title);
      const said = await fixture.text('.warnings');
      expect(said).toContain('drawn by a program');
      expect(said).not.toContain('no numbers');
      if (words === null) expect(said).not.toMatch(/measured/);
      else expect(said).toContain(words);
      await fixture.page.getByRole('button', { name: 'Another clip' }).click();
    }
  });

  const takeWithoutPass = async (title: string) => {
    await take(title);
    await fixture.page.evaluate(() => {
      const { course, poses, track } = globalThis.session;
      course.value = [];
      const horse = { box: [0, 0, 300, 200] as const, view: 'left' as const, points: {} };
      poses.value = poses.peek().map((pose) => ({ ...pose, horse }));
      const found = track.peek();
      track.value = found && { ...found, anotherLeftOut: true };
    });
  };

  it('where there is nothing to measure in one, that is said once, and no advice how to film', async () => {
    fixture = await open('', DESK);
    await takeWithoutPass('Standing');
    expect(await fixture.text('.failure')).toBe(SAMPLES[4]?.noPassWords);
    expect(await fixture.text('.warnings')).not.toContain('stand is');
  });

  it('where the pass of one is missed, the reason is given as for any clip', async () => {
    fixture = await open('', DESK);
    await takeWithoutPass('A triangle');
    const said = await fixture.text('.failure');
    for (const words of [REASONS.noPass, REASONS.anotherLeftOut, ...NO_PASS_ADVICE])
      expect(said).toContain(words);
    expect(await fixture.text('.warnings')).not.toContain('triangle');
  });
});
