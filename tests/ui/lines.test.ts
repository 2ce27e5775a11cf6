/** Ways from the camera and back on the page: their numbers and charts, in a real Chromium on the fixture engine. */
import { describe, expect, it } from 'vitest';
import type { Measured } from '../../src/gait/types.ts';
import { DEGREES, SHORT_LENGTH, showSided } from '../../src/ui/format.ts';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';

describe('a quantity that goes two ways', () => {
  const measured = (value: number, half: number): Measured => ({
    ...{ value, low: value - half, high: value + half, n: 3, side: 'both' },
  });
  const ways = ['outward', 'inward'] as const;

  it('is shown by its size and way, the interval counted the same way', () => {
    const cm = SHORT_LENGTH.metric;
    expect(showSided(measured(0.045, 0.01), cm, ways)).toEqual({
      value: '4.5\u00a0cm outward',
      interval: '3.5 to 5.5',
    });
    expect(showSided(measured(-0.03, 0.04), cm, ways)).toEqual({
      value: '3\u00a0cm inward',
      interval: '\u22121 to 7',
    });
    expect(showSided(measured(-2.4, 0.7), DEGREES, ways).value).toBe('2.4\u00b0 inward');
  });
});

const open = fixturePages();
let fixture: FixturePage;
const withHeight = async (units: 'metric' | 'imperial' = 'metric', query = '?auto=1&course=1') => {
  fixture = await open(query, DESK);
  await fixture.page.getByLabel('Height at the withers in centimetres').fill('162');
  await fixture.page.waitForFunction(() => globalThis.session.withersM.peek() === 1.62);
  if (units === 'imperial') await fixture.page.locator('.withers select').selectOption('imperial');
};
const choose = (name: RegExp) => fixture.page.locator('.pass-choice').getByRole('button', { name }).click();
const row = async (name: string) =>
  (await fixture.text(`[data-measure="${name}"] .value, [data-measure="${name}"] .reason`)).replace(
    /\s+/g,
    ' ',
  );

describe('the measures of a way from the camera', () => {
  it('each have interval, way and number, or a reason in words', async () => {
    await withHeight();
    await choose(/^Away/);
    expect(await fixture.text('.measures h2 + .note')).toMatch(
      /^Walking away from the camera, 0\.0 to 1\.0\ss/,
    );
    expect(await row('pathDriftDeg')).toBe('2.4\u00b0 to its right (1.7 to 3.1) 3 strides');
    expect(await row('pathRmsM')).toBe('6 cm (4 to 8) 3 strides');
    expect(await row('baseWidth fore')).toBe('20 cm (17 to 23) 5 steps');
    expect(await row('hindOnFore left')).toBe('2.1 cm outward (1.1 to 3.1) 4 prints');
    // To the left is inward of the right fore print.
    expect(await row('hindOnFore right')).toBe('1.3 cm inward (0.3 to 2.3) 4 prints');
    expect(await row('swingOut LF')).toBe('4.5 cm outward (3.5 to 5.5) 4 swings');
    expect(await row('swingOut RF')).toBe('3.5 cm inward (2.5 to 4.5) 4 swings');
    expect(await row('swingOut RH')).toBe('hooves hidden or blurred');
    expect(await row('head poll')).toBe(
      '3 cm to its left (1 to 5) 3 strides; beyond 5 cm to its left 40 % of the time, to its right 5 %',
    );
    await fixture.page.getByRole('button', { name: 'Muzzle aside' }).click();
    expect(await fixture.text('#meaning-head-muzzle')).toContain('points needed were hidden');
  });

  it('are in inches where those are wanted, and say how far they can be trusted', async () => {
    await withHeight('imperial');
    await choose(/^Back/);
    expect(await row('baseWidth fore')).toBe('7.9 in (6.7 to 9.1) 5 steps');
    expect(await row('pathDriftDeg')).toContain('2.4\u00b0');
    expect(await fixture.text('.trust')).toContain('Checked on drawn horses only');
    expect(await fixture.text('.measures h2 + .note')).toMatch(/^Walking back to the camera/);
  });

  it('are no lengths without a height', async () => {
    fixture = await open('?auto=1&course=1', DESK);
    await choose(/^Away/);
    expect(await row('baseWidth hind')).toBe('needs the height at the withers');
    expect(await row('pathDriftDeg')).toContain('to its right');
  });

  it('have their main numbers beneath the picture on a phone', async () => {
    fixture = await open('?auto=1&course=1', PHONE);
    await fixture.page.locator('[data-part=away]').tap();
    expect((await fixture.text('.main-numbers')).replace(/\s+/g, ' ')).toMatch(
      /Drift of the way 2\.4\u00b0 to its right \(1\.7 to 3\.1\) Base width in front needs/,
    );
    expect(
      await fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
  });
});

describe('a part of which nothing is measured', () => {
  it('says what it is, with no table and no chart', async () => {
    fixture = await open('?auto=1&course=1', DESK);
    await fixture.page.locator('[data-part=turn]').press('Enter');
    expect(await fixture.text('.unmeasured')).toBe('Here the horse turns. A turn is not measured.');
    await fixture.page.locator('[data-part=turn]').press('s');
    expect(await fixture.text('.unmeasured')).toBe('Here the horse stands. A stand is not measured.');
    expect(await fixture.page.locator('.measures, .footfalls, .prints, .failure').count()).toBe(0);
    await fixture.page.locator('[data-part=none]').press('Enter');
    expect(await fixture.text('.unmeasured')).toContain('belongs to no pass');
    expect(await fixture.page.getByRole('button', { name: 'Save the measures' }).isVisible()).toBe(true);
    await choose(/^Past/);
    expect(await fixture.page.locator('.footfalls').count()).toBe(1);
  });
});
