/** The parts of a clip on its time axis: gone to, moved and renamed, in a real Chromium on the fixture engine. */
import { describe, expect, it } from 'vitest';
import { FPS } from './fixtureHorse.ts';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';

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

  it.each([DESK, PHONE])('a kind that a part does not look like is told of, and counts', async (screen) => {
    fixture = await open(QUERY, screen);
    const doubts = () => fixture.page.locator('.part-doubts p').allInnerTexts();
    expect(await doubts()).toEqual([]);
    await part('side').press('Enter');
    await fixture.page.getByLabel('Kind of this part').selectOption({ label: 'Away from the camera' });
    const words =
      'To the tool 1.7 to 3.2\u00a0s does not look like “Away” but like “Past”; your choice counts.';
    expect(await doubts()).toEqual([words]);
    expect(await kinds()).toEqual(['away', 'turn', 'away', 'towards']);
    expect(
      await fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
    await fixture.page.reload();
    await fixture.page.waitForFunction(() => globalThis.session?.phase.peek() === 'done');
    expect(await doubts()).toEqual([words]);
    await part('none').press('Enter');
    await fixture.page.getByLabel('Kind of this part').selectOption({ label: 'Turn' });
    expect(await doubts()).toEqual([words]);
    await fixture.page.getByRole('button', { name: /^Undo/ }).click();
    await fixture.page.getByRole('button', { name: /^Undo/ }).click();
    expect(await kinds()).toEqual(['away', 'turn', 'side', 'towards']);
    expect(await doubts()).toEqual([]);
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
