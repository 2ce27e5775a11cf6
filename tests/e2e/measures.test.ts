/** From a clip to numbers, corrected by hand and found again: the whole page as it is shipped. */
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Measure } from '../../src/gait/types.ts';
import type { ResultFile } from '../../src/report/contract.ts';
import { sideEntries } from '../support/sideEntries.ts';
import { startBuilt, type Built } from './built.ts';
import { wholePass } from './clips.ts';
import type { Visit } from './visit.ts';

const HEIGHT_CM = 162;

let built: Built;
let visit: Visit;
/** What the page saves of the clip before anything is put right by hand. */
let found: ResultFile;
beforeAll(async () => {
  built = await startBuilt();
  if (wholePass === null) return;
  visit = await built.visit();
  await visit.give(wholePass);
  await visit.page.waitForSelector('progress[value]');
  expect(await visit.text('.reading')).toMatch(/Finding the points of the horse .* of \d+\.\d s/);
  await visit.done();
  await visit.noWorkers();
  await visit.typeHeight(HEIGHT_CM);
  found = await visit.saved();
});
afterAll(async () => {
  await visit?.close();
  await built.close();
});
afterEach(() => {
  expect(visit.errors).toEqual([]);
  expect(visit.requests).toBeGreaterThan(5);
  expect(visit.foreign).toEqual([]);
});

const measuresOf = (result: ResultFile) => {
  const [pass] = sideEntries(result);
  if (!pass) throw new Error('The clip has no pass');
  return pass.measures;
};
const overtrackM = (result: ResultFile): number => {
  const { overtrackM: measure } = measuresOf(result);
  if ('reason' in measure) throw new Error(`No overtrack: ${measure.reason}`);
  return measure.value;
};

/** How a number of the file is written in the table. */
const SHOWN = {
  overtrackM: 100,
  strideLengthM: 1,
  strideDurationS: 1,
  cadencePerMin: 1,
  speedMps: 1,
  headAboveWithersM: 100,
  headNodM: 100,
  croupAboveWithersM: 100,
  lateralLagFraction: 100,
  dutyFactorFore: 100,
  dutyFactorHind: 100,
  froude: 1,
} as const;

/** Numbers in the order in which they stand in a row: value, low, high, strides; with half a step of their last digit. */
function numbersIn(text: string): { readonly value: number; readonly half: number }[] {
  return [...text.replaceAll('\u2212', '-').matchAll(/-?\d+(?:\.(\d+))?/g)].map(
    ([number, decimals = '']) => ({
      value: Number(number),
      half: 0.5 * 10 ** -decimals.length + 1e-9,
    }),
  );
}

function expectShown(row: string, measure: Measure, factor: number): void {
  if ('reason' in measure) return expect(numbersIn(row)).toEqual([]);
  const expected = [measure.value * factor, measure.low * factor, measure.high * factor, measure.n];
  const shown = numbersIn(row);
  expect(shown).toHaveLength(expected.length);
  shown.forEach(({ value, half }, i) => {
    expect(Math.abs(value - (expected[i] ?? NaN))).toBeLessThanOrEqual(half);
  });
}

describe.skipIf(wholePass === null)('a clip of some strides', () => {
  it('has the same numbers in the table and in the file', async () => {
    expect(found.clip.withersM).toBe(HEIGHT_CM / 100);
    for (const [name, factor] of Object.entries(SHOWN) as [keyof typeof SHOWN, number][])
      expectShown(await visit.text(`[data-measure=${name}] td`), measuresOf(found)[name], factor);
    expect(Number.isFinite(overtrackM(found))).toBe(true);
  });

  it('has the same numbers on the command line', async () => {
    const page = await visit.page.context().newPage();
    await page.goto(`${built.url}headless.html`);
    await page.setInputFiles('#files', wholePass as string);
    await page.waitForFunction(() => globalThis.ledwalk !== undefined);
    const height = HEIGHT_CM / 100;
    const { result } = await page.evaluate((withersM) => globalThis.ledwalk.analyse(withersM), height);
    expect(JSON.parse(JSON.stringify(result))).toEqual(found);
    await page.close();
  });

  it('is corrected by hand, and keeps correction and numbers through a reload without being read again', async () => {
    const side = await visit.nearSide();
    await visit.showStance(side === 'left' ? 'LF' : 'RF');
    const prints = await visit.page.locator('.prints').textContent();
    const hoof = `[data-point=${side}_fore_hoof]`;
    await visit.page.locator('.stage').scrollIntoViewIfNeeded();
    // The fore print moves ahead by about 6 % of the height, so the hind hoof lands less far in front of it.
    const [at, withers] = [await visit.middleOf(hoof), await visit.middleOf('[data-point=withers]')];
    const aheadPx = 0.06 * (at.y - withers.y);
    await visit.drag(at, sideEntries(found)[0]?.direction === 'left' ? -aheadPx : aheadPx, 0);
    expect(await visit.page.locator(hoof).getAttribute('aria-label')).toContain('set by hand');
    const corrected = await visit.saved();
    expect(overtrackM(corrected)).toBeLessThan(overtrackM(found) - 0.01);
    expect(await visit.page.locator('.prints').textContent()).not.toBe(prints);

    await visit.reload();
    await visit.give(wholePass as string);
    await visit.done();
    expect(visit.workersStarted).toEqual([]);
    expect(await visit.text('.method')).toContain('at an earlier visit');
    expect(await visit.text('.corrections summary')).toBe('1 correction by hand, kept');
    expect(await visit.page.getByLabel('Height at the withers in centimetres').inputValue()).toBe('162');
    expect(await visit.saved()).toEqual(corrected);

    await visit.page.getByRole('button', { name: 'Undo' }).click();
    expect(await visit.saved()).toEqual(found);
    await visit.page.keyboard.press('Control+Shift+Z');
    expect(await visit.saved()).toEqual(corrected);
  });

  it('has its scale from a distance marked on the ground instead, until that is removed', async () => {
    const before = await visit.saved();
    const lengths = (result: ResultFile) => {
      const [pass] = sideEntries(result);
      const stride = pass?.measures.strideLengthM;
      if (!pass || !stride || 'reason' in stride) throw new Error('No stride length');
      return { withersM: pass.withersM ?? NaN, strideM: stride.value };
    };
    const use = async (metres: number) => {
      await visit.page.getByLabel('metres between the marks').fill(String(metres));
      await visit.page.getByRole('button', { name: 'Use it' }).click();
      return lengths(await visit.saved());
    };
    const button = (name: string) => visit.page.getByRole('button', { name, exact: true });
    await button('Mark a known distance on the ground').click();
    await visit.drag(await visit.middleOf('[data-mark=to]'), 12, 0);
    await visit.page.getByLabel('Both flags stand on the marks').check();
    const once = await use(2);
    expect(await visit.text('.withers .hint')).toContain(
      `the withers stand at ${once.withersM.toFixed(2)}\u00a0m`,
    );
    expect(await visit.text('.withers .hint')).toContain('The height typed in is not used.');
    // Lengths in withers heights stay, so those in metres go with the height.
    expect(once.strideM / once.withersM).toBeCloseTo(lengths(before).strideM / lengths(before).withersM, 6);
    await button('Change the marked distance').click();
    const half = await use(1);
    expect(half.withersM).toBeCloseTo(once.withersM / 2, 9);
    await button('Remove the marked distance').click();
    expect(await visit.saved()).toEqual(before);
  });
});
