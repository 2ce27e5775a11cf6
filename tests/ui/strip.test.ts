/** The parts of a clip on its time axis: gone to, moved and renamed, in a real Chromium on the fixture engine. */
import { describe, expect, it } from 'vitest';
import type { ClipPass } from '../../src/gait/index.ts';
import { againIn, firstShownS, opening, passAt, reachesBeyond } from '../../src/ui/shownPass.ts';
import { KIND_WORDS, kindOfKey } from '../../src/ui/strip/kinds.ts';
import { bordersOf, canSplit, partsOf, withBorder, withKind, withSplit } from '../../src/ui/strip/parts.ts';
import { COURSE } from './fixtureCourse.ts';
import { courseGait } from './fixtureGait.ts';
import { FPS } from './fixtureHorse.ts';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';
import { TIMES } from './fixtureTrack.ts';

describe('the parts of a clip', () => {
  const parts = partsOf(COURSE, TIMES);
  const borders = bordersOf(parts);
  const byKey = (key: string) => {
    const border = borders.find((one) => one.key === key);
    if (!border) throw new Error(key);
    return border;
  };

  it('fill its time without a hole, and what is no pass is a part of its own', () => {
    expect(parts.map(({ kind }) => kind)).toEqual(['away', 'turn', 'side', null, 'towards']);
    expect(parts[0]?.fromS).toBe(0);
    expect(parts.at(-1)?.toS).toBe(TIMES.at(-1));
    parts.slice(1).forEach((part, i) => expect(part.fromS).toBe(parts[i]?.toS));
    expect(partsOf([], TIMES)).toHaveLength(1);
  });

  it('have one border where passes meet, and two where something lies between', () => {
    expect(borders.map(({ key }) => key)).toEqual(['start 1', 'start 2', 'end 2', 'start 3']);
    expect(byKey('start 1').timeS).toBe(1);
  });

  it('move a border of both passes that meet there, and leave the others as they are', () => {
    const moved = withBorder(COURSE, byKey('start 1'), 1.2, TIMES);
    expect(moved[0]).toEqual({ kind: 'away', startS: 0, endS: TIMES[71] });
    expect(moved[1]).toEqual({ kind: 'turn', startS: TIMES[72], endS: 103 / 60 });
    expect(moved.slice(2)).toEqual(COURSE.slice(2));
    // Found passes end with the last frame before the next one: so do those set by hand.
    expect(partsOf(moved, TIMES).map(({ kind }) => kind)).toEqual(parts.map(({ kind }) => kind));
  });

  it('close up what lies between, but never make a pass shorter than a pass can be', () => {
    const { minS, maxS } = byKey('end 2');
    const closed = partsOf(withBorder(COURSE, byKey('end 2'), maxS, TIMES), TIMES);
    expect(closed.map(({ kind }) => kind)).toEqual(['away', 'turn', 'side', 'towards']);
    expect(minS).toBeCloseTo(104 / 60 + 0.6, 9);
    expect(byKey('start 1').minS).toBeCloseTo(0.6, 9);
  });

  it('become another kind, none at all, or a pass where there was none', () => {
    const kinds = (passes: readonly ClipPass[]) => passes.map(({ kind }) => kind);
    const [away, , side, none] = parts;
    if (!away || !side || !none) throw new Error('parts');
    expect(kinds(withKind(COURSE, away, 'stand', TIMES))).toEqual(['stand', 'turn', 'side', 'towards']);
    expect(withKind(COURSE, side, 'turn', TIMES)[2]).toEqual({ kind: 'turn', startS: 104 / 60, endS: 3.2 });
    expect(kinds(withKind(COURSE, side, null, TIMES))).toEqual(['away', 'turn', 'towards']);
    const filled = withKind(COURSE, none, 'turn', TIMES);
    expect(kinds(filled)).toEqual(['away', 'turn', 'side', 'turn', 'towards']);
    expect(partsOf(filled, TIMES).every(({ index }) => index !== null)).toBe(true);
  });

  it('are split where both halves are long enough', () => {
    const [away, , side] = parts;
    if (!away || !side) throw new Error('parts');
    expect(canSplit(away, 0.5)).toBe(false);
    expect(canSplit(side, 2.5)).toBe(true);
    const halves = withSplit(COURSE, side, 2.5, TIMES).slice(2, 4);
    expect(halves.map(({ kind, direction }) => [kind, direction])).toEqual([
      ['side', 'left'],
      ['side', 'left'],
    ]);
    expect([halves[0]?.endS, halves[1]?.startS]).toEqual([TIMES[149], TIMES[150]]);
  });

  it('have a key for each kind, none of them another use', () => {
    const keys = Object.values(KIND_WORDS).map(({ key }) => key);
    expect(new Set(keys).size).toBe(5);
    for (const used of ['z', 'n', ' ', ',', '.']) expect(kindOfKey(used)).toBeUndefined();
    expect([kindOfKey('t'), kindOfKey('x')]).toEqual(['turn', null]);
  });
});

describe('the pass that is shown', () => {
  const { course } = courseGait([], 1.62);

  it('is one past the camera at first, whatever comes before it', () => {
    expect(opening(course)).toBe(2);
    expect(opening(course.slice(0, 2))).toBe(0);
    expect(opening([])).toBe(0);
  });

  it('follows the time into what is measured, and stays while the horse turns', () => {
    expect(passAt(course, 0, 1.4)).toBe(0);
    expect(passAt(course, 0, 2)).toBe(2);
    expect(passAt(course, 1, 1.4)).toBe(1);
    expect(passAt(course, 2, 3.3)).toBe(2);
    expect(passAt(course, -1, 4)).toBe(3);
  });

  it('is shown from where it begins, also where something is measured before that', () => {
    const [, , side] = course;
    if (side?.kind !== 'side' || !side.pass) throw new Error('no side pass');
    const wide = { ...side, pass: { ...side.pass, startS: side.startS - 1, endS: side.endS } };
    expect(firstShownS(wide)).toBe(side.startS);
    expect(reachesBeyond(wide, wide.pass)).toBe(true);
    expect(reachesBeyond(side, side.pass)).toBe(false);
    const late = { ...side, pass: { ...side.pass, startS: side.startS + 0.5 } };
    expect(firstShownS(late)).toBe(side.startS + 0.5);
    // The turn before belongs to what is measured: the pass at hand stays.
    expect(passAt(course.with(2, wide), 2, side.startS - 0.8)).toBe(2);
  });

  it('is found again after its borders or its kind have changed', () => {
    expect(againIn(course.slice(1), { course, index: 2 }, 0)).toBe(1);
    expect(againIn(course, { course, index: -1 }, 3.3)).toBe(-1);
    expect(againIn(course, { course, index: -1 }, 4)).toBe(3);
    expect(againIn(course.slice(2), { course, index: 0 }, 3)).toBe(0);
  });

  it('is the same one after a border is moved back, though it now shares more time with the other half', () => {
    const half = (startS: number, endS: number) => ({ kind: 'turn', startS, endS }) as const;
    const [split, moved] = [
      [half(0.4, 1.1), half(1.1, 4.3)],
      [half(0.4, 3), half(3, 4.3)],
    ];
    expect(againIn(split, { course: moved, index: 0 }, 0.4)).toBe(0);
    expect(againIn(split, { course: [half(0.4, 4.3)], index: 0 }, 0.4)).toBe(1);
  });
});

const open = fixturePages();
let fixture: FixturePage;
const QUERY = '?auto=1&course=1';

const course = () =>
  fixture.page.evaluate(() =>
    globalThis.session.course.peek().map(({ kind, startS, endS }) => ({ kind, startS, endS })),
  );
const kinds = async () => (await course()).map(({ kind }) => kind);
const startOf = async (index: number) => (await course())[index]?.startS ?? NaN;
const chosenKind = () => fixture.page.evaluate(() => globalThis.session.chosen.peek()?.kind);
const part = (kind: string) => fixture.page.locator(`[data-part="${kind}"]`);
const border = (key: string) => `[data-edge="${key}"] .grip`;

describe('on the strip', () => {
  it('a tap goes there and chooses that pass', async () => {
    fixture = await open(QUERY, DESK);
    expect(await chosenKind()).toBe('side');
    const { x, y, width, height } = await fixture.box('[data-part=turn] .ground');
    await fixture.page.mouse.click(x + width * 0.75, y + height / 2);
    expect(await chosenKind()).toBe('turn');
    expect(await fixture.page.evaluate(() => globalThis.session.timeS.peek())).toBeCloseTo(1.55, 1);
    expect(await part('turn').getAttribute('aria-pressed')).toBe('true');
    await part('away').press('Enter');
    expect(await chosenKind()).toBe('away');
    expect(await fixture.frame()).toBe(0);
  });

  it('a border is dragged by the mouse, and undone', async () => {
    fixture = await open(QUERY, DESK);
    const before = await course();
    await fixture.page.locator(border('start 1')).scrollIntoViewIfNeeded();
    await fixture.drag(await fixture.middleOf(border('start 1')), -30, 0);
    const after = await course();
    expect(after[1]?.startS).toBeLessThan(0.9);
    expect(after[0]?.endS).toBeCloseTo((after[1]?.startS ?? NaN) - 1 / FPS, 6);
    expect(after.slice(2)).toEqual(before.slice(2));
    // It is still the pass past the camera that is shown: its numbers did not give way while the border moved.
    expect(await chosenKind()).toBe('side');
    expect(await fixture.text('.notice')).toContain('Border moved.');
    await fixture.page.keyboard.press('Control+z');
    expect(await course()).toEqual(before);
    await fixture.page.keyboard.press('Control+Shift+z');
    expect(await course()).toEqual(after);
  });

  it('the half of a split pass that was shown is shown again once its border is moved back', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(66);
    await fixture.page.getByRole('button', { name: 'Split here' }).click();
    await fixture.page.locator('[data-part=side]').first().press('Enter');
    const shown = () => fixture.page.evaluate(() => globalThis.session.passIndex.peek());
    const starts = async () => (await course()).map(({ startS }) => startS);
    const before = await starts();
    expect(await shown()).toBe(0);
    await fixture.page.locator(border('start 1')).scrollIntoViewIfNeeded();
    await fixture.drag(await fixture.middleOf(border('start 1')), 250, 0);
    // Most of the half that is shown now was the other one's.
    expect((await starts())[1]).toBeGreaterThan(2);
    expect(await shown()).toBe(0);
    await fixture.page.keyboard.press('Control+z');
    expect(await starts()).toEqual(before);
    expect(await shown()).toBe(0);
  });

  it('a border is dragged by a finger, and moved by frames with buttons for fingers', async () => {
    fixture = await open(QUERY, PHONE);
    await fixture.page.locator(border('start 1')).scrollIntoViewIfNeeded();
    const { x, y } = await fixture.middleOf(border('start 1'));
    const touch = await fixture.context.newCDPSession(fixture.page);
    const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', toX: number) =>
      touch.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: type === 'touchEnd' ? [] : [{ x: toX, y }],
      });
    await send('touchStart', x + 8);
    await send('touchMove', x - 4);
    await send('touchMove', x - 8);
    await send('touchEnd', x - 8);
    await fixture.page.waitForFunction(() => (globalThis.session.course.peek()[1]?.startS ?? 1) < 0.9);
    const dragged = await startOf(1);
    await fixture.page.getByRole('button', { name: '10 later' }).tap();
    expect(await startOf(1)).toBeCloseTo(dragged + 10 / FPS, 6);
    await fixture.page.getByRole('button', { name: '1 earlier' }).tap();
    expect(await startOf(1)).toBeCloseTo(dragged + 9 / FPS, 6);
    for (const button of await fixture.page.locator('.border-steps button, .border .target').all()) {
      const box = await button.boundingBox();
      expect(Math.min(box?.width ?? 0, box?.height ?? 0)).toBeGreaterThanOrEqual(44);
    }
    expect(
      await fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
  });

  it('a border is moved by one frame or ten with the keyboard', async () => {
    fixture = await open(QUERY, DESK);
    await fixture.page.locator('[data-edge="start 1"]').focus();
    await fixture.page.keyboard.press('ArrowRight');
    expect(await startOf(1)).toBeCloseTo(61 / FPS, 6);
    await fixture.page.keyboard.press('Shift+ArrowLeft');
    expect(await startOf(1)).toBeCloseTo(51 / FPS, 6);
    expect(await fixture.frame()).toBe(51);
    expect(await fixture.page.evaluate(() => document.activeElement?.getAttribute('data-edge'))).toBe(
      'start 1',
    );
  });

  it('a key makes the part in focus another kind; a reload finds it', async () => {
    fixture = await open(QUERY, DESK);
    await part('turn').focus();
    await fixture.page.keyboard.press('s');
    expect(await kinds()).toEqual(['away', 'stand', 'side', 'towards']);
    expect(await chosenKind()).toBe('stand');
    expect(await fixture.text('.notice')).toContain('This part is now “Stand”.');
    expect(await fixture.page.locator('.keys dt', { hasText: 's, a, t, p, b, x' }).count()).toBe(1);
    await fixture.page.reload();
    await fixture.done();
    expect(await kinds()).toEqual(['away', 'stand', 'side', 'towards']);
    await fixture.page.getByText('1 correction by hand').click();
    await fixture.page.getByRole('button', { name: 'Put back Parts of the clip' }).click();
    expect(await kinds()).toEqual(['away', 'turn', 'side', 'towards']);
  });

  it('a key does nothing elsewhere on the page', async () => {
    fixture = await open(QUERY, DESK);
    await fixture.page.locator('body').press('s');
    expect(await kinds()).toEqual(['away', 'turn', 'side', 'towards']);
  });

  it('the menu makes it another kind by touch, and a pass of what was none', async () => {
    fixture = await open(QUERY, PHONE);
    await part('away').tap();
    await fixture.page.getByLabel('Kind of this part').selectOption({ label: 'Back to the camera' });
    expect(await kinds()).toEqual(['towards', 'turn', 'side', 'towards']);
    await part('none').evaluate((one) => one.scrollIntoView({ block: 'center' }));
    const none = await fixture.box('[data-part=none] .ground');
    await fixture.page.touchscreen.tap(none.x + none.width / 2, none.y + 20);
    expect(await chosenKind()).toBeUndefined();
    await fixture.page.getByLabel('Kind of this part').selectOption({ label: 'Turn' });
    expect(await kinds()).toEqual(['towards', 'turn', 'side', 'turn', 'towards']);
    expect(await fixture.page.evaluate(() => globalThis.session.passIndex.peek())).toBe(3);
  });

  it('kinds are told apart by word or picture, and by pattern, not by colour alone', async () => {
    fixture = await open(QUERY, DESK);
    for (const kind of ['away', 'turn', 'side', 'towards']) {
      expect(await part(kind).locator('.kind-icon').count()).toBe(1);
      expect(await part(kind).locator(`[fill="url(#kind-pattern-${kind})"]`).count()).toBe(1);
    }
    expect(await part('away').locator('text').textContent()).toBe('Away');
    expect(await part('side').getAttribute('aria-label')).toBe('Past, 1.7 to 3.2\u00a0s');
    const names = await fixture.page
      .locator('.strip [role=slider]')
      .evaluateAll((all) => all.map((one) => one.getAttribute('aria-label')));
    expect(new Set(names).size).toBe(4);
  });

  it('the buttons list every pass of which something is measured', async () => {
    fixture = await open(QUERY, DESK);
    const buttons = await fixture.page.locator('.pass-choice button').allInnerTexts();
    expect(buttons.map((words) => words.replace(/\s+/g, ' '))).toEqual([
      'Away 0.0 to 1.0 s',
      'Past, to the left 1.7 to 3.2 s',
      'Back 3.4 to 4.5 s',
    ]);
    await fixture.page.locator('.pass-choice').getByRole('button', { name: /^Back/ }).click();
    expect(await chosenKind()).toBe('towards');
  });
});
