/** From one of the points that help most to the next, by key and by finger, in a real Chromium on the fixture engine. */
import { signal } from '@preact/signals';
import { describe, expect, it } from 'vitest';
import type { TourPlace } from '../../src/gait/tour.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import type { LinePass, Measure, SidePass } from '../../src/gait/types.ts';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import type { Correction } from '../../src/horse/edits.ts';
import { HOOF } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import { CorrectionTour, type Tour, ahead, begun, next, without } from '../../src/ui/tour.ts';
import { tourReason } from '../../src/ui/words.ts';
import { lineClip, PICTURE } from '../gait/lineClips.ts';
import { besideBy } from '../gait/planted.ts';
import { pointsAt, stanceOf } from './fixtureHorse.ts';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';
import { ASTRAY, fixtureTrack } from './fixtureTrack.ts';

describe('a round of points', () => {
  const place = (limb: TourPlace['limb'], timeS: number): TourPlace => ({
    ...{ timeS, limb, point: HOOF[limb], gainH: 0.01, gainShare: 0.1 },
  });
  const [a, b, c, d] = [place('LF', 1), place('LH', 2), place('LF', 3), place('LH', 4)];
  const before = {} as SidePass;
  const after = (tour: Tour, ...told: (readonly TourPlace[])[]): Tour => told.reduce(next, tour);

  it('begins with the first, and goes on with what is told after each correction', () => {
    const tour = begun(before, [a, b, c]);
    expect(tour.now).toEqual(a);
    expect(ahead(tour, [a, b, c])).toEqual([b, c]);
    // Once a is put right, c helps more than b.
    const second = next(tour, [c, b]);
    expect(second).toEqual({ before, passed: [a], now: c });
    expect(after(second, [b], []).now).toBeNull();
  });

  it('does not come back to a point that was left as it is, and asks for three at most', () => {
    const tour = after(begun(before, [a, b, c]), [a, b, c], [a, b, c]);
    expect(tour.passed).toEqual([a, b]);
    expect(tour.now).toEqual(c);
    expect(ahead(tour, [a, b, c, d])).toEqual([]);
    expect(next(tour, [a, b, c, d]).now).toBeNull();
  });

  it('knows a place again in another frame of the same stance', () => {
    expect(without([place('LF', 1.05), place('LF', 1.9), place('LH', 1)], [a])).toEqual([
      place('LF', 1.9),
      place('LH', 1),
    ]);
  });

  it('is over where nothing is told any more', () => {
    const over = next(begun(before, [a]), []);
    expect(over).toEqual({ before, passed: [a], now: null });
    expect(next(over, [b])).toEqual(over);
  });
});

describe('on a way from the camera', () => {
  /** A hoof of the near pair that is seen a twelfth of the withers height beside a print in the middle of the way. */
  function withOneAstray() {
    const line = lineClip(0);
    const exact = buildTrack(line.frames, null, [], PICTURE);
    const prints = analyseLinePass(exact, line.truth, line.withersM).plot?.prints ?? [];
    const middleS = (line.truth.startS + line.truth.endS) / 2;
    const [wrong] = prints
      .filter(({ limb }) => limb === 'LH')
      .sort((a, b) => Math.abs(a.onS - middleS) - Math.abs(b.onS - middleS));
    const [, y0 = 0, , y1 = 0] = line.frames.find(({ timeS }) => timeS > middleS)?.horse?.box ?? [];
    if (!wrong) throw new Error('no print');
    const frames = besideBy(line.frames, [{ ...wrong, byPx: 0.085 * (y1 - y0) }]);
    const track = buildTrack(frames, null, [], PICTURE);
    return { wrong, track, pass: analyseLinePass(track, line.truth, line.withersM) };
  }

  it('the hooves are told and led to as on a walk past, for the sake of the widths', () => {
    const { wrong, track, pass } = withOneAstray();
    const shown = { track: signal(track), measured: signal(pass), passIndex: signal(0) };
    const visited: TourPlace[] = [];
    const round = new CorrectionTour(shown, signal([]), (place) => visited.push(place));
    expect(round.places.value[0]?.limb).toBe(wrong.limb);
    round.begin();
    expect(round.tour.value?.before).toBe(pass);
    expect(visited[0]?.timeS).toBeGreaterThan(wrong.onS);
    expect(visited[0]?.timeS).toBeLessThan(wrong.offS);
    expect(tourReason(pass)).toContain('make the widths surer');
    shown.passIndex.value = 1;
    expect(round.tour.value).toBeNull();
  });

  it('a round is over once passes are set by hand, as another may have its place in the course', () => {
    const { track, pass } = withOneAstray();
    const shown = { track: signal(track), measured: signal<LinePass>(pass), passIndex: signal(0) };
    const corrections = signal<readonly Correction[]>([]);
    const round = new CorrectionTour(shown, corrections, () => undefined);
    round.begin();
    expect(round.tour.value?.before).toBe(pass);
    corrections.value = [{ kind: 'passes', id: 'set', timeS: 0, spans: [] }];
    expect(round.tour.value).toBeNull();
    corrections.value = [];
    expect(round.tour.value?.before).toBe(pass);
    shown.measured.value = { ...pass, kind: pass.kind === 'away' ? 'towards' : 'away' };
    expect(round.tour.value).toBeNull();
  });
});

const open = fixturePages();
let fixture: FixturePage;
const QUERY = '?auto=1&astray=1';

const bar = () => fixture.page.getByRole('region', { name: 'Points that help most' });
const words = async () => (await bar().innerText()).replaceAll('\u00a0', ' ');
const settled = () => fixture.page.waitForFunction(() => !globalThis.session.waiting.peek());
const inHand = () =>
  fixture.page.evaluate(() => {
    const { hand, timeS } = globalThis.session;
    const focus = document.activeElement?.getAttribute('data-point');
    return { point: hand.point.peek(), timeS: timeS.peek(), focus };
  });

/** The stance of ASTRAY that the page has gone to. */
async function stanceShown() {
  const { point, timeS, focus } = await inHand();
  const one = ASTRAY.find(({ limb, stride }) => {
    const { onS, offS } = stanceOf(limb, stride);
    return HOOF[limb] === point && timeS > onS && timeS < offS;
  });
  return { one, timeS, focus };
}

const halfOf = (measure: Measure | undefined): number =>
  measure && 'value' in measure ? (measure.high - measure.low) / 2 : NaN;
/** Half the interval of the overtrack where no hoof is astray, withers heights. */
const trueHalf = halfOf(analyseTrack(fixtureTrack([]), { withersM: null })[0]?.inWithersHeights.overtrackH);
/** The same as the page has it. */
const half = async () =>
  halfOf(await fixture.page.evaluate(() => globalThis.session.pass.peek()?.inWithersHeights.overtrackH));

describe('the points that help most', () => {
  it('are gone to one after the other by the keyboard, each in hand at once', async () => {
    fixture = await open(QUERY, DESK);
    await bar().getByRole('button', { name: 'Correct the three points that help most' }).waitFor();
    const before = await half();
    const visited = new Set<unknown>();
    for (let number = 1; number <= 3; number++) {
      await fixture.page.keyboard.press('n');
      await bar().getByText(`Point ${number} of 3`).waitFor();
      await settled();
      await fixture.page.waitForFunction(() => document.activeElement?.hasAttribute('data-point'));
      const { one, timeS, focus } = await stanceShown();
      if (!one) throw new Error('no hoof that is astray');
      expect(focus).toBe(HOOF[one.limb]);
      visited.add(one);
      const truth = pointsAt(timeS).get(HOOF[one.limb]);
      const is = await fixture.trackPoint(await fixture.frame(), HOOF[one.limb]);
      const byPx = Math.round((truth?.x ?? NaN) - is.x);
      for (let px = 0; px < Math.abs(byPx); px += 5)
        await fixture.page.keyboard.press(byPx > 0 ? 'Shift+ArrowRight' : 'Shift+ArrowLeft');
      await fixture.page.waitForFunction(
        (count) => globalThis.session.hand.corrections.peek().length === count,
        number,
      );
    }
    expect(visited.size).toBe(3);
    expect(await bar().getByRole('button', { name: 'Finish' }).isVisible()).toBe(true);
    await fixture.page.keyboard.press('n');
    await bar().getByText('Those were the 3 points.').waitFor();
    const [, was, now] = /before: (.*); now: (.*)\./.exec(await words()) ?? [];
    expect(was).not.toBe(now);
    expect(before).toBeGreaterThan(1.5 * trueHalf);
    expect(await half()).toBeCloseTo(trueHalf, 3);
    await fixture.page.keyboard.press('Enter');
    expect(await bar().count()).toBe(0);
    expect(await fixture.page.locator('.keys dt', { hasText: /^n$/ }).count()).toBe(1);
  });

  it('may be left as they are, and are not asked for again', async () => {
    fixture = await open(QUERY, PHONE);
    await bar().getByRole('button', { name: 'Correct the three' }).tap();
    await settled();
    const first = await inHand();
    for (const button of [/^Next point$/, /^Next point$/, /^Finish$/]) {
      const box = await bar().getByRole('button', { name: button }).boundingBox();
      expect(Math.min(box?.width ?? 0, box?.height ?? 0)).toBeGreaterThanOrEqual(44);
      await bar().getByRole('button', { name: button }).tap();
    }
    await bar().getByRole('button', { name: 'Close' }).tap();
    expect(await bar().count()).toBe(0);
    expect(await fixture.page.evaluate(() => globalThis.session.hand.edits.peek().length)).toBe(0);
    expect(first.point).not.toBeNull();
    expect(
      await fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
  });

  it('are within sight with their picture on a phone, and can be come back to', async () => {
    fixture = await open(QUERY, PHONE);
    await fixture.page.evaluate(() => scrollTo(0, 5000));
    await fixture.page.keyboard.press('n');
    await bar().getByText('Point 1 of 3').waitFor();
    await settled();
    const first = await inHand();
    await fixture.page.waitForFunction(() => {
      const { top = -1, bottom = 0 } = document.querySelector('.stage')?.getBoundingClientRect() ?? {};
      return top >= -1 && bottom <= innerHeight + 1;
    });
    await fixture.showFrame(5);
    await bar().getByRole('button', { name: 'Back to it' }).tap();
    await settled();
    expect(await inHand()).toEqual({ ...first, focus: first.point });
    await bar().getByRole('button', { name: 'Stop' }).tap();
    // The one that was looked at is not offered again.
    await bar().getByRole('button', { name: 'Correct the two points that help most' }).waitFor();
  });

  it('are not offered where all hooves are where they stand', async () => {
    fixture = await open('?auto=1', DESK);
    expect(await bar().count()).toBe(0);
    await fixture.page.keyboard.press('n');
    expect(await bar().count()).toBe(0);
  });
});
