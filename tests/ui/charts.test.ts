/** The charts on narrow and wide screens. */
import { describe, expect, it } from 'vitest';
import { REASONS } from '../../src/gait/reasons.ts';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';

describe('charts', () => {
  const open = fixturePages();
  let fixture: FixturePage;
  const framesOf = () =>
    fixture.page
      .locator('.chart-scroll')
      .evaluateAll((frames) =>
        frames.map(({ clientWidth, scrollWidth, scrollLeft }) => ({ clientWidth, scrollWidth, scrollLeft })),
      );

  it('fit a desk screen and a phone, with and without a height', async () => {
    for (const screen of [DESK, PHONE]) {
      fixture = await open('?auto=1', screen);
      for (const height of ['', '162']) {
        await fixture.page.getByLabel('Height at the withers in centimetres').fill(height);
        await fixture.page.waitForTimeout(400);
        const frames = await framesOf();
        expect(frames).toHaveLength(3);
        for (const { clientWidth, scrollWidth } of frames)
          expect(scrollWidth).toBeLessThanOrEqual(clientWidth);
      }
      expect(await fixture.page.locator('.swipe').count()).toBe(0);
      if (screen === DESK) await fixture.close();
    }
  });

  it('have lengths in metres or withers heights as the table has, and no number where it has none', async () => {
    fixture = await open('?auto=1', DESK);
    const textsOf = async (chart: string) =>
      (await fixture.page.locator(`${chart} text`).allTextContents()).map((text) =>
        text.replace('\u00a0', ' '),
      );
    const height = fixture.page.getByLabel('Height at the withers in centimetres');
    /** From each print to the next along the track, px. */
    const steps = async () => {
      const places = await fixture.page
        .locator('.hoof')
        .evaluateAll((hooves) =>
          hooves.map((hoof) => (hoof as SVGGElement).transform.baseVal[0]?.matrix.e ?? NaN),
        );
      const sorted = places.sort((a, b) => a - b);
      return sorted.slice(1).map((x, i) => x - (sorted[i] ?? NaN));
    };
    const spread = (values: readonly number[]) => Math.max(...values) - Math.min(...values);
    expect(spread(await steps())).toBeGreaterThan(10);
    expect(await textsOf('.prints')).toContain('along the track, withers heights');
    expect(await textsOf('.head-curve')).toContain('% of the withers height');
    await height.fill('162');
    await fixture.page.waitForFunction(() => globalThis.session.withersM.peek() === 1.62);
    expect(await textsOf('.prints')).toContain('along the track, m');
    expect(await textsOf('.head-curve')).toContain('cm');
    for (const reason of ['tooOblique', 'groundUnsure'] as const) {
      await fixture.page.evaluate((why) => {
        const { course } = globalThis.session;
        course.value = course.peek().map((one) => {
          if (one.kind !== 'side' || !one.pass) return one;
          const inWithersHeights = { ...one.pass.inWithersHeights, strideLengthH: { reason: why } };
          return { ...one, pass: { ...one.pass, inWithersHeights } };
        });
      }, reason);
      expect(await textsOf('.prints')).toEqual([
        'far side',
        'near side (left)',
        'along the track, distances not known',
      ]);
      expect(await fixture.page.locator('.prints').getAttribute('aria-label')).toMatch(
        /^Map of \d+ prints along the track, horse going to the left\. No lengths are given[^\d]*$/,
      );
      const head = await textsOf('.head-curve');
      expect(head).toContain('heights not known');
      expect(await fixture.page.locator('.head-curve .gridline').count()).toBe(0);
      expect(await fixture.page.locator('.head-curve').getAttribute('aria-label')).not.toMatch(/\d/);
      expect(await fixture.page.locator('.hoof').count()).toBeGreaterThan(4);
      expect(spread(await steps())).toBeLessThan(0.1);
    }
  });

  it('draw no curve of the head where the table gives no height of it, and say why', async () => {
    fixture = await open('?auto=1', DESK);
    const head = fixture.page.locator('[aria-label="Head against withers"]');
    for (const [reason, words] of [
      ['pointHidden', REASONS.pointHidden],
      ['tooFewStrides', REASONS.tooFewStrides],
    ] as const) {
      await fixture.page.evaluate((why) => {
        const { course } = globalThis.session;
        course.value = course.peek().map((one) => {
          if (one.kind !== 'side' || !one.pass) return one;
          const inWithersHeights = { ...one.pass.inWithersHeights, headAboveWithersH: { reason: why } };
          return { ...one, pass: { ...one.pass, inWithersHeights } };
        });
      }, reason);
      expect(await fixture.page.evaluate(() => globalThis.session.pass.peek()?.head.length)).toBeGreaterThan(
        9,
      );
      expect(await head.locator('svg').count()).toBe(0);
      expect(await head.innerText()).toContain(words);
    }
  });

  it('that do not fit start where the pass starts and say that there is more', async () => {
    fixture = await open('?auto=1', { ...PHONE, width: 280 });
    await fixture.page.locator('.prints').scrollIntoViewIfNeeded();
    const prints = fixture.page.locator('.chart-scroll').nth(1);
    const { scrollLeft, clientWidth, scrollWidth } = (await framesOf())[1] ?? {
      scrollLeft: NaN,
      clientWidth: NaN,
      scrollWidth: NaN,
    };
    expect(scrollWidth).toBeGreaterThan(clientWidth);
    // The drawn horse goes to the left, so the pass starts at the right.
    expect(scrollLeft).toBeCloseTo(scrollWidth - clientWidth, -1);
    expect(await prints.getAttribute('data-hidden')).toBe('left');
    expect(await fixture.page.locator('[aria-label="Prints from above"] .swipe').innerText()).toContain(
      'sideways',
    );
    await prints.evaluate((frame) => (frame.scrollLeft = 0));
    await fixture.page.waitForFunction(
      () => document.querySelectorAll('.chart-scroll')[1]?.getAttribute('data-hidden') === 'right',
    );
  });
});
