/** A known distance on the ground instead of a stick: words, places, and the page in a real Chromium. */
import { describe, expect, it } from 'vitest';
import type { GroundDistance, SidePass } from '../../src/gait/types.ts';
import type { Track } from '../../src/track/types.ts';
import { formatDistance, formatHeight } from '../../src/ui/format.ts';
import { firstPlaces, isDistance, marksIn } from '../../src/ui/groundMarks.ts';
import { scaleOf, scaleWords } from '../../src/ui/words.ts';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';
import { HEIGHT_PX, WIDTH_PX, groundPx, metresPerPx, pointsAt, timeOfFrame } from './fixtureHorse.ts';

const NBSP = '\u00a0';
const KNOWN: GroundDistance = {
  kind: 'distance',
  id: 'a',
  timeS: 1,
  from: { x: 100, y: 460 },
  to: { x: 550, y: 460 },
  distanceM: 3,
};
const passOf = (withersM: number | null) => ({ withersM }) as SidePass;
const words = (typedM: number | null, known: GroundDistance | null, pass: SidePass | null) =>
  scaleWords(scaleOf(typedM, known, pass), 'metric');

describe('the words of the scale', () => {
  it('ask for the height only where nothing else gives a scale', () => {
    expect(words(null, null, passOf(null))).toMatch(/^Type it in/);
    expect(words(1.6, null, passOf(1.6))).toMatch(/^Lengths are as good as this height/);
    expect(words(null, KNOWN, passOf(1.5812))).toBe(
      `Scale from the marked distance: the withers stand at 1.58${NBSP}m.`,
    );
  });

  it('say that a typed height is not used beside a marked distance', () => {
    expect(words(1.6, KNOWN, passOf(1.5812))).toBe(
      `Scale from the marked distance: the withers stand at 1.58${NBSP}m. The height typed in is not used.`,
    );
  });

  it('say so where the distance cannot be read, and what counts instead', () => {
    expect(words(null, KNOWN, passOf(null))).toMatch(/gives no scale here.*type in the height/);
    expect(words(1.6, KNOWN, passOf(1.6))).toMatch(
      /gives no scale here.*The height typed in is used instead/,
    );
  });

  it('give lengths in feet, heights in hands and inches: a foot is 0.3048 m (NIST SP 811, appendix B)', () => {
    expect(formatDistance(3.048, 'imperial')).toBe(`10.00${NBSP}ft`);
    expect(formatDistance(3, 'metric')).toBe(`3.00${NBSP}m`);
    expect(formatHeight(1.5748, 'imperial')).toBe('15 hands 2 inches');
    expect(formatHeight(1.6256, 'imperial')).toBe('16 hands');
    expect(formatHeight(1.65, 'imperial')).toBe('16 hands 1 inch');
  });
});

describe('marks', () => {
  it('start on either side of the hooves, inside the picture, with or without a horse', () => {
    const size = { width: WIDTH_PX, height: HEIGHT_PX };
    const points = new Map(
      [...pointsAt(1.6)].map(([name, at]) => [name, { ...at, source: 'network' as const, sdPx: 1 }]),
    );
    const { from, to } = firstPlaces(points, size);
    expect(from.x).toBeLessThan(points.get('left_fore_hoof')?.x ?? NaN);
    expect(to.x).toBeGreaterThan(points.get('left_hind_hoof')?.x ?? NaN);
    expect(from.y).toBeGreaterThanOrEqual(groundPx);
    expect(Math.max(from.y, to.y)).toBeLessThan(HEIGHT_PX);
    const bare = firstPlaces(new Map(), size);
    expect([bare.from.x > 0, bare.to.x < WIDTH_PX, bare.to.x > bare.from.x]).toEqual([true, true, true]);
  });

  it('stay on the ground while the camera turns', () => {
    const still = (tx: number) => ({ a: 1, b: 0, tx, ty: 0 });
    const track = { timesS: [0, 1], toStill: [still(0), still(120)] } as unknown as Track;
    const marks = { timeS: 0, from: { x: 200, y: 400 }, to: { x: 500, y: 410 } };
    expect(marksIn(track, marks, 0)).toEqual({ from: marks.from, to: marks.to });
    expect(marksIn(track, marks, 1)).toEqual({ from: { x: 80, y: 400 }, to: { x: 380, y: 410 } });
  });

  it('take no distance that is none', () => {
    expect([null, NaN, 0, -3, 0.1, 1000].filter(isDistance)).toEqual([]);
    expect([0.2, 3, 100].filter(isDistance)).toHaveLength(3);
  });
});

describe('on the page', () => {
  const FRAME = 96;
  const LENGTH = '[data-measure=strideLengthM]';
  const open = fixturePages();
  let fixture: FixturePage;

  const begin = async (screen: typeof DESK) => {
    fixture = await open('?auto=1', screen);
    await fixture.showFrame(FRAME);
    await button('Mark a known distance on the ground').click();
    await fixture.page.waitForSelector('[data-mark=from]:focus');
  };
  const button = (name: string) => fixture.page.getByRole('button', { name, exact: true });
  const stand = () => fixture.page.getByLabel('Both flags stand on the marks');
  const draft = () => fixture.page.evaluate(() => globalThis.session.groundMarks.draft.peek());
  const known = () => fixture.page.evaluate(() => globalThis.session.groundMarks.known.peek());
  const withersM = () => fixture.page.evaluate(() => globalThis.session.pass.peek()?.withersM ?? null);

  it('two flags are placed and dragged, their distance typed, used, undone and done again', async () => {
    await begin(DESK);
    const [before, scale] = [await draft(), await fixture.scale()];
    const hoof = pointsAt(timeOfFrame(FRAME)).get('left_fore_hoof') ?? { x: NaN, y: NaN };
    expect(Math.abs((before?.from.y ?? NaN) - hoof.y)).toBeLessThan(0.1 * HEIGHT_PX);
    expect(await fixture.page.locator('[data-point]').count()).toBe(0);

    await fixture.drag(await fixture.middleOf('[data-mark=to]'), 40, -6);
    const placed = await draft();
    expect(placed?.to.x).toBeCloseTo((before?.to.x ?? NaN) + 40 / scale, 0);
    expect(placed?.to.y).toBeCloseTo((before?.to.y ?? NaN) - 6 / scale, 0);
    expect(placed?.from).toEqual(before?.from);
    expect(await fixture.page.locator('.loupe').isVisible()).toBe(true);
    await fixture.page.keyboard.press('Shift+ArrowDown');
    await fixture.page.keyboard.press('ArrowLeft');
    const nudged = await draft();
    expect((nudged?.to.x ?? NaN) - (placed?.to.x ?? NaN)).toBeCloseTo(-1, 6);
    expect((nudged?.to.y ?? NaN) - (placed?.to.y ?? NaN)).toBeCloseTo(5, 6);
    expect(await fixture.frame()).toBe(FRAME);
    expect(await known()).toBeNull();

    await button('Use it').click();
    expect(await fixture.page.locator('.ground-bar [role=alert]').first().innerText()).toContain(
      'between 0.20\u00a0m and 100.00\u00a0m',
    );
    const field = fixture.page.getByLabel('metres between the marks');
    await field.pressSequentially('2.05');
    expect(await field.inputValue()).toBe('2.05');
    expect(await fixture.text('.ground-bar [role=alert]')).toMatch(/^Move both flags/);
    await field.fill('2.6');
    await fixture.page.keyboard.press('Enter');
    expect(await known()).toBeNull();
    expect(await fixture.text('.ground-bar [role=alert]')).toMatch(/^Move both flags onto your two marks/);
    await stand().check();
    await button('Use it').click();
    expect(await known()).toMatchObject({
      kind: 'distance',
      distanceM: 2.6,
      from: nudged?.from,
      to: nudged?.to,
    });
    expect((await known())?.timeS).toBeCloseTo(timeOfFrame(FRAME), 9);
    const apartPx = Math.hypot(
      (nudged?.to.x ?? NaN) - (nudged?.from.x ?? NaN),
      (nudged?.to.y ?? NaN) - (nudged?.from.y ?? NaN),
    );
    const height = await withersM();
    expect(height).toBeCloseTo((2.6 / apartPx) * (1.62 / metresPerPx), 9);
    const says = `Scale from the marked distance: the withers stand at ${height?.toFixed(2)}${NBSP}m.`;
    expect(await fixture.text('.withers .hint')).toBe(says);
    await fixture.page.waitForSelector('.ground-distance button:focus');
    expect(await fixture.text('.notice')).toBe(says);
    expect(await fixture.text(LENGTH)).not.toContain('withers height');
    expect(await fixture.page.locator('.ground-marks').getAttribute('data-open')).toBe('false');

    await fixture.page.keyboard.press('Control+z');
    expect(await known()).toBeNull();
    expect(await fixture.text('.withers .hint')).toMatch(/^Type it in/);
    expect(await fixture.text(LENGTH)).toContain('withers height');
    expect(await fixture.page.locator('.ground-marks').count()).toBe(0);
    await fixture.page.keyboard.press('Control+Shift+Z');
    expect(await withersM()).toBe(height);
    await fixture.page.reload();
    await fixture.done();
    expect(await withersM()).toBe(height);
  });

  it('the distance is changed and removed, and the typed height counts again', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.page.getByLabel('Height at the withers in centimetres').fill('160');
    await fixture.page.keyboard.press('Tab');
    await fixture.page.locator('.withers select').selectOption('imperial');
    await button('Mark a known distance on the ground').click();
    await fixture.page.getByLabel('feet between the marks').fill('3.5');
    await stand().check();
    await button('Use it').click();
    expect((await known())?.distanceM).toBeCloseTo(1.0668, 9);
    expect(await fixture.text('.withers .hint')).toContain('The height typed in is not used.');
    await fixture.page.getByText('1 correction by hand').click();
    expect(await fixture.text('.corrections li')).toContain(`Known distance on the ground, 3.50${NBSP}ft`);
    await button('Change the marked distance').click();
    expect(await fixture.page.getByLabel('feet between the marks').inputValue()).toBe('3.5');
    await fixture.page.getByLabel('feet between the marks').fill('4');
    await button('Use it').click();
    expect(await fixture.page.evaluate(() => globalThis.session.hand.corrections.peek().length)).toBe(1);
    await button('Remove the marked distance').click();
    expect(await withersM()).toBe(1.6);
    expect(await fixture.text('.withers .hint')).toMatch(/^Lengths are as good as this height/);
  });

  it('marks that give a height that no horse has give no scale, and the page says so', async () => {
    await begin(DESK);
    await fixture.page.getByLabel('metres between the marks').fill('40');
    await stand().check();
    await button('Use it').click();
    expect(await withersM()).toBeNull();
    expect(await fixture.text('.withers .hint')).toContain('no horse would be of the height that they give');
  });

  it('marks on one spot give no scale, and the page says so', async () => {
    await begin(DESK);
    const [from, to] = [await fixture.middleOf('[data-mark=from]'), await fixture.middleOf('[data-mark=to]')];
    await fixture.drag(to, from.x + 5 - to.x, from.y - to.y);
    expect(await stand().isChecked()).toBe(false);
    await fixture.page.locator('[data-mark=from]').focus();
    await fixture.page.keyboard.press('ArrowUp');
    expect(await stand().isChecked()).toBe(true);
    await fixture.page.getByLabel('metres between the marks').fill('3');
    await button('Use it').click();
    expect(await withersM()).toBeNull();
    expect(await fixture.text('.withers .hint')).toMatch(/^The marked distance gives no scale here/);
  });

  it('a finger drags a flag without moving the page, in the whole picture, with targets large enough', async () => {
    await begin(PHONE);
    expect(await fixture.page.locator('.stage').getAttribute('data-zoomed')).toBe('false');
    const [at, before, scale] = [
      await fixture.middleOf('[data-mark=from]'),
      await draft(),
      await fixture.scale(),
    ];
    const scrolled = await fixture.page.evaluate(() => scrollY);
    const touch = await fixture.context.newCDPSession(fixture.page);
    const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', d: number) =>
      touch.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: type === 'touchEnd' ? [] : [{ x: at.x + 6, y: at.y + 6 + d }],
      });
    await send('touchStart', 0);
    for (const d of [-4, -9, -14]) await send('touchMove', d);
    await send('touchEnd', -14);
    expect(((await draft())?.from.y ?? NaN) - (before?.from.y ?? NaN)).toBeCloseTo(-14 / scale, 0);
    expect(await fixture.page.evaluate(() => scrollY)).toBe(scrolled);
    expect(
      await fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
    /** Least size of what a finger must hit: WCAG 2.2, success criterion 2.5.5. */
    for (const target of await fixture.page
      .locator('.ground-bar button, .ground-bar input[type=number], .ground-bar .tick')
      .all()) {
      const box = await target.boundingBox();
      expect(Math.min(box?.width ?? 0, box?.height ?? 0)).toBeGreaterThanOrEqual(43.9);
    }
    await fixture.page.locator('.ground-bar').getByRole('button', { name: 'Cancel' }).click();
    expect(await known()).toBeNull();
    await fixture.page.waitForSelector('.stage[data-zoomed=true]', { timeout: 2000 });
  });
});
