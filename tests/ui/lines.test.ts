/** Ways from the camera and back on the page: their numbers and charts, in a real Chromium on the fixture engine. */
import { describe, expect, it } from 'vitest';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import type { LinePass, Measured } from '../../src/gait/types.ts';
import { LIMBS, type Limb } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import { DEGREES, SHORT_LENGTH, showSided } from '../../src/ui/format.ts';
import { bodyAt, hoofAt, printRanges, swingReach } from '../../src/ui/charts/linePlots.ts';
import { PICTURE, lineClip } from '../gait/lineClips.ts';
import { fixtureLine, fixturePlot } from './fixtureLine.ts';
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

describe('the made-up ways of these tests', () => {
  const farPairOf = ({ measures }: LinePass): readonly Limb[] =>
    LIMBS.filter((limb) => {
      const measure = measures.swingOutM[limb];
      return 'reason' in measure && measure.reason === 'farPair';
    });

  it.each([
    [0, 'away', ['LF', 'RF']],
    [1, 'towards', ['LH', 'RH']],
  ] as const)('refuse the swing of the pair that the core refuses', (clip, kind, limbs) => {
    const { frames, truth, withersM } = lineClip(clip);
    const core = analyseLinePass(buildTrack(frames, null, [], PICTURE), truth, withersM);
    const madeUp = fixtureLine({ kind, startS: 0, endS: 1 }, withersM);
    expect(core.kind).toBe(kind);
    for (const way of [core, madeUp]) expect(new Set(farPairOf(way))).toEqual(new Set(limbs));
    for (const limb of limbs) expect(madeUp.plot?.swings[limb]).toEqual([]);
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
    expect(await row('swingOut LH')).toBe('4.5 cm outward (3.5 to 5.5) 4 swings');
    expect(await row('swingOut RH')).toBe('3.5 cm inward (2.5 to 4.5) 4 swings');
    for (const limb of ['LF', 'RF'])
      expect(await row(`swingOut ${limb}`)).toBe('swings behind the nearer pair');
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
    expect(await fixture.text('.measures .trust')).toContain('Checked on drawn horses only');
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

describe('what the charts of a way are drawn from', () => {
  const plot = fixturePlot({ kind: 'towards', startS: 0, endS: 1 });

  it('leaves room for all that is drawn, and for the straight line in the middle', () => {
    const { alongM, leftM } = printRanges(plot);
    expect(alongM[0]).toBeLessThan(0);
    expect(alongM[1]).toBeGreaterThan(29 / 15);
    expect(leftM[0]).toBe(-leftM[1]);
    expect(leftM[1]).toBeGreaterThanOrEqual(0.15);
  });

  it('has the same scale for all hooves that are drawn, and for none that is not', () => {
    expect(swingReach(plot, ['LF', 'RF'])).toEqual({ asideM: 0.06 * 1.1, upM: [0, 0.1] });
    const wide = { ...plot, swings: { ...plot.swings, RH: [[{ timeS: 0, leftM: -0.2, upM: -0.02 }]] } };
    expect(swingReach(wide, ['LF']).asideM).toBeCloseTo(0.066, 9);
    expect(swingReach(wide, ['LF', 'RH'])).toEqual({ asideM: 0.2 * 1.1, upM: [-0.02, 0.1] });
  });

  it('has a place at each time of it, and none before, after or in between', () => {
    expect(bodyAt(plot, 0.5)?.leftM).toBe(-0.05);
    expect(bodyAt(plot, 0.4)?.alongM).toBeCloseTo(12 / 15, 9);
    expect(bodyAt(plot, 1)).toBeNull();
    expect(hoofAt(plot.swings.LF, 0.21)?.leftM).toBeCloseTo(0.045, 9);
    expect(hoofAt(plot.swings.LF, 0.5)).toBeNull();
    expect(hoofAt(plot.swings.RH, 0.2)).toBeNull();
  });
});

describe('the charts of a way', () => {
  /** Middle of an element on the screen. */
  const middle = (selector: string) => fixture.middleOf(`${selector} >> nth=0`);

  it('have left prints above right ones, the horse going to the right, and the body between them', async () => {
    await withHeight();
    await choose(/^Away/);
    await fixture.page.locator('.line-prints').scrollIntoViewIfNeeded();
    const [left, right] = [await middle('[data-print=LF] .hoof'), await middle('[data-print=RF] .hoof')];
    const zero = await middle('.line-prints .zero');
    expect(left.y).toBeLessThan(zero.y);
    expect(right.y).toBeGreaterThan(zero.y);
    expect(zero.y - left.y).toBeCloseTo(right.y - zero.y, 0);
    const prints = await fixture.page.locator('[data-print=LF] .hoof').all();
    const xs = await Promise.all(prints.map(async (print) => (await print.boundingBox())?.x ?? NaN));
    expect(xs[1]).toBeGreaterThan((xs[0] ?? NaN) + 100);
    // Told apart by more than colour: the bar of a left hoof lies above it.
    expect((await middle('[data-print=LF] .side-bar')).y).toBeLessThan(left.y);
    expect((await middle('[data-print=RF] .side-bar')).y).toBeGreaterThan(right.y);
    expect(await fixture.page.locator('[data-print] path.hind').count()).toBe(4);
  });

  it('show where the horse is at the moment that is shown', async () => {
    await withHeight();
    await choose(/^Away/);
    await fixture.showFrame(6);
    const before = await middle('.line-prints .body-now');
    await fixture.showFrame(40);
    const after = await middle('.line-prints .body-now');
    expect(after.x).toBeGreaterThan(before.x + 50);
    // Its body is left of the straight line at first, then right of it.
    expect(after.y).toBeGreaterThan(before.y + 20);
    expect(await fixture.page.locator('.head-line .playhead').count()).toBe(1);
    await fixture.showFrame(12);
    expect(await fixture.page.locator('[data-swing=LH] .body-now').count()).toBe(1);
  });

  it('have the horse’s left on the left in the panels of the hooves, from in front too', async () => {
    await withHeight();
    for (const [name, mirrored, left, right] of [
      [/^Away/, false, 'LH', 'RH'],
      [/^Back/, true, 'LF', 'RF'],
    ] as const) {
      await choose(name);
      expect((await middle('[data-swing=LF]')).x).toBeLessThan((await middle('[data-swing=RF]')).x);
      expect((await middle('[data-swing=LF]')).y).toBeLessThan((await middle('[data-swing=LH]')).y);
      // Both swing to the left of their line: the left one outward, the right one inward.
      for (const limb of [left, right]) {
        const swing = await middle(`[data-swing=${limb}] .swing`);
        expect(swing.x).toBeLessThan((await middle(`[data-swing=${limb}] .zero`)).x - 5);
      }
      const wordsIn = (limb: Limb) =>
        fixture.page.locator(`[data-swing=${limb}] svg[role=img]`).textContent();
      expect(await wordsIn(left)).toContain('\u2190 outward');
      expect(await wordsIn(right)).toContain('outward \u2192');
      const note = await fixture.text('[aria-label^="Swing of"] > .note');
      expect(note.includes('drawn here the other way round')).toBe(mirrored);
    }
  });

  it('draw nothing of what the table has no number', async () => {
    await withHeight();
    await choose(/^Away/);
    expect(await fixture.page.locator('[data-swing=RF] svg[role=img]').count()).toBe(0);
    expect(await fixture.text('[data-swing=RF]')).toContain('Not drawn: swings behind the nearer pair');
    expect(await fixture.page.locator('.head-line .curve').count()).toBe(1);
    expect(await fixture.page.locator('.head-line .curve.poll').count()).toBe(1);
    // The poll is 3 cm to the left, within the band of 5 cm, above the line of the body.
    const [poll, zero] = [await middle('.head-line .curve.poll'), await middle('.head-line .zero')];
    const band = await fixture.box('.head-line .stride-band');
    expect(poll.y).toBeLessThan(zero.y);
    expect(poll.y).toBeGreaterThan(band.y);
    expect((zero.y - poll.y) / (band.height / 2)).toBeCloseTo(3 / 5, 1);
  });

  it('are none without lengths, and fit a phone', async () => {
    fixture = await open('?auto=1&course=1', PHONE);
    await fixture.page.locator('[data-part=away]').tap();
    expect(await fixture.page.locator('.line-prints, .swing-panel, .head-line').count()).toBe(0);
    await fixture.page.getByLabel('Height at the withers in centimetres').fill('162');
    await fixture.page.locator('.swing-panel').first().waitFor();
    expect(
      await fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
  });
});
