/** Points moved by mouse, finger and keyboard, in a real Chromium on the fixture engine. */
import { describe, expect, it } from 'vitest';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';
import { HOLE } from './fixtureTrack.ts';
import { pointsAt, timeOfFrame } from './fixtureHorse.ts';

const open = fixturePages();
let fixture: FixturePage;

describe('points', () => {
  const FRAME = 96;
  const truth = pointsAt(timeOfFrame(FRAME)).get('left_fore_hoof') ?? { x: NaN, y: NaN };

  it('are drawn where they are, and dragged by as much as the mouse moves', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(FRAME);
    const scale = await fixture.scale();
    const stage = await fixture.box('.stage');
    const handle = await fixture.middleOf('[data-point=left_fore_hoof]');
    expect((handle.x - stage.x) / scale).toBeCloseTo(truth.x + 0.5, 0);

    await fixture.drag({ x: handle.x + 4, y: handle.y - 3 }, 30, -18);
    const moved = await fixture.trackPoint(FRAME, 'left_fore_hoof');
    expect(moved.source).toBe('hand');
    expect(moved.x).toBeCloseTo(truth.x + 30 / scale, 0);
    expect(moved.y).toBeCloseTo(truth.y - 18 / scale, 0);
    expect(await fixture.page.locator('.loupe').isVisible()).toBe(true);
    expect(await fixture.page.locator('[data-point=left_fore_hoof]').getAttribute('aria-label')).toContain(
      'set by hand',
    );

    await fixture.page.getByRole('button', { name: 'Put back' }).click();
    expect((await fixture.trackPoint(FRAME, 'left_fore_hoof')).x).toBeCloseTo(truth.x, 6);
  });

  it.each([DESK, PHONE])(
    'close to the horse, stay where they were dropped: the picture does not shift',
    async (screen) => {
      fixture = await open('?auto=1', screen);
      const closer = fixture.page.getByRole('button', { name: 'Closer' });
      if ((await closer.getAttribute('aria-pressed')) !== 'true') await closer.click();
      await fixture.showFrame(FRAME);
      const shownAt = () => fixture.page.locator('.stage video').getAttribute('style');
      const before = await shownAt();
      // The foremost point of all: the horse is longer by it.
      const muzzle = await fixture.middleOf('[data-point=muzzle]');
      await fixture.drag(muzzle, 25, 30);
      expect((await fixture.trackPoint(FRAME, 'muzzle')).source).toBe('hand');
      expect(await shownAt()).toBe(before);
      const dropped = await fixture.middleOf('[data-point=muzzle]');
      expect(Math.hypot(dropped.x - muzzle.x - 25, dropped.y - muzzle.y - 30)).toBeLessThan(1.5);
      await fixture.page.locator('[data-point=poll]').focus();
      await fixture.page.keyboard.press('Control+z');
      expect(await shownAt()).toBe(before);
      await fixture.showFrame(FRAME + 20);
      expect(await shownAt()).not.toBe(before);
    },
  );

  it('show the video under the loupe, not an empty glass', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(FRAME);
    await fixture.page.locator('[data-point=left_fore_hoof]').focus();
    await fixture.page.waitForTimeout(300);
    const colours = await fixture.page.evaluate(() => {
      const glass = document.querySelector<HTMLCanvasElement>('.loupe');
      const data = glass?.getContext('2d')?.getImageData(0, 0, glass.width, glass.height).data ?? [];
      const seen = new Set<number>();
      for (let i = 0; i < data.length; i += 4)
        seen.add((((data[i] ?? 0) >> 4) << 8) | (((data[i + 1] ?? 0) >> 4) << 4) | ((data[i + 2] ?? 0) >> 4));
      return seen.size;
    });
    expect(colours).toBeGreaterThan(20);
  });

  it('move by the keyboard: one px, five with Shift, and several presses are one correction', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(FRAME);
    await fixture.page.locator('[data-point=muzzle]').focus();
    await fixture.page.keyboard.press('Tab');
    await fixture.page.waitForFunction(() => globalThis.session.hand.point.peek() === 'poll');
    const before = await fixture.trackPoint(FRAME, 'poll');
    await fixture.page.keyboard.press('Shift+ArrowRight');
    await fixture.page.keyboard.press('ArrowRight');
    await fixture.page.keyboard.press('ArrowUp');
    await fixture.page.waitForFunction(() => globalThis.session.hand.corrections.peek().length === 1);
    expect(await fixture.page.evaluate(() => globalThis.session.hand.edits.peek().length)).toBe(1);
    const after = await fixture.trackPoint(FRAME, 'poll');
    expect(after.x - before.x).toBeCloseTo(6, 9);
    expect(after.y - before.y).toBeCloseTo(-1, 9);
    expect(await fixture.frame()).toBe(FRAME);
  });

  it('come back by undo and go again by redo, by key and by button, and last through a reload', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(FRAME);
    await fixture.drag(await fixture.middleOf('[data-point=left_fore_hoof]'), 25, 0);
    const moved = await fixture.trackPoint(FRAME, 'left_fore_hoof');
    await fixture.page.keyboard.press('Control+z');
    expect((await fixture.trackPoint(FRAME, 'left_fore_hoof')).x).toBeCloseTo(truth.x, 6);
    await fixture.page.keyboard.press('Control+Shift+Z');
    expect(await fixture.trackPoint(FRAME, 'left_fore_hoof')).toEqual(moved);
    await fixture.page.getByRole('button', { name: 'Undo' }).click();
    await fixture.page.getByRole('button', { name: 'Redo' }).click();
    await fixture.page.reload();
    await fixture.done();
    expect(await fixture.trackPoint(FRAME, 'left_fore_hoof')).toEqual(moved);
    await fixture.page.getByRole('button', { name: 'Undo' }).click();
    expect((await fixture.trackPoint(FRAME, 'left_fore_hoof')).x).toBeCloseTo(truth.x, 6);
  });

  it('that were not found are listed, begun near their place, and put in by hand', async () => {
    fixture = await open('?auto=1', DESK);
    const frame = HOLE.from + 2;
    const fetlock = pointsAt(timeOfFrame(frame)).get(HOLE.point) ?? { x: NaN, y: NaN };
    await fixture.showFrame(frame);
    expect((await fixture.trackPoint(frame, HOLE.point)).x).toBeNaN();
    const chooser = fixture.page.locator('.point-panel select');
    await chooser.selectOption({ label: 'right hind fetlock, not found' });
    expect(await fixture.text('.point-state')).toContain('not found here');
    const [handle, stage, scale] = [
      await fixture.middleOf(`[data-point=${HOLE.point}]`),
      await fixture.box('.stage'),
      await fixture.scale(),
    ];
    // Three frames on from where it was seen last; the body walks on, the hoof swings at most three times as fast.
    expect(Math.abs((handle.x - stage.x) / scale - fetlock.x)).toBeLessThan(40);
    await fixture.drag(handle, 10, -6);
    const put = await fixture.trackPoint(frame, HOLE.point);
    expect(put.source).toBe('hand');
    expect((put.x + 0.5) * scale).toBeCloseTo(handle.x - stage.x + 10, 0);
    expect(await chooser.locator('option', { hasText: 'right hind fetlock' }).innerText()).not.toContain(
      'not',
    );
    await fixture.page.keyboard.press('Control+z');
    expect((await fixture.trackPoint(frame, HOLE.point)).x).toBeNaN();
  });

  it('are dragged by a finger without moving the page', async () => {
    fixture = await open('?auto=1', PHONE);
    await fixture.showFrame(FRAME);
    await fixture.page.locator('.stage').scrollIntoViewIfNeeded();
    const at = await fixture.middleOf('[data-point=left_fore_hoof]');
    const before = await fixture.trackPoint(FRAME, 'left_fore_hoof');
    const scrolled = await fixture.page.evaluate(() => scrollY);
    const touch = await fixture.context.newCDPSession(fixture.page);
    const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', dy: number) =>
      touch.send('Input.dispatchTouchEvent', {
        type,
        touchPoints: type === 'touchEnd' ? [] : [{ x: at.x + 8, y: at.y + 8 + dy }],
      });
    await send('touchStart', 0);
    for (const dy of [-5, -15, -30]) await send('touchMove', dy);
    await send('touchEnd', -30);
    await fixture.page.waitForFunction(() => globalThis.session.hand.corrections.peek().length === 1);
    const after = await fixture.trackPoint(FRAME, 'left_fore_hoof');
    const scale = await fixture.scale();
    expect((after.y - before.y) * scale).toBeCloseTo(-30, 0);
    expect(await fixture.page.evaluate(() => scrollY)).toBe(scrolled);
    const words = (await fixture.text('.notice [role=status]')).replaceAll('\u00a0', ' ');
    expect(words).toMatch(/^Point moved\. Overtrack now \d+ % of the withers height \(\d+ to \d+\)\.$/);
    for (const scroll of [0, 5000]) {
      await fixture.page.evaluate((y) => scrollTo(0, y), scroll);
      const { y, height } = await fixture.box('.notice');
      expect(y + height).toBeCloseTo(PHONE.height, 0);
    }
    await fixture.page.getByRole('button', { name: 'Hide' }).click();
    expect(await fixture.text('.notice')).toBe('');
  });

  it('stay with the picture that is shown, and are held fast, until the picture asked for has come', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(FRAME);
    const point = '[data-point=left_fore_hoof]';
    const before = await fixture.middleOf(point);
    await fixture.page.evaluate(() => {
      const video = document.querySelector('video');
      const own = Object.getOwnPropertyDescriptor(HTMLMediaElement.prototype, 'currentTime');
      if (!video || !own) throw new Error('No video');
      Object.defineProperty(video, 'currentTime', {
        get: () => own.get?.call(video) as number,
        set: (timeS: number) => setTimeout(() => own.set?.call(video, timeS), 1500),
      });
    });
    await fixture.page.evaluate((frame) => globalThis.session.showFrame(frame), FRAME + 31);
    expect(await fixture.frame()).toBe(FRAME + 31);
    expect(await fixture.middleOf(point)).toEqual(before);
    await fixture.drag(before, 30, -10);
    await fixture.page.locator(point).focus();
    await fixture.page.keyboard.press('ArrowUp');
    await fixture.page.getByText('The picture is coming').waitFor();
    expect(await fixture.text('.notice')).toContain('Nothing was moved');
    expect(await fixture.page.evaluate(() => globalThis.session.hand.moving.peek())).toBeNull();
    await fixture.page.waitForFunction(() => !globalThis.session.waiting.peek());
    expect(await fixture.page.evaluate(() => globalThis.session.hand.corrections.peek())).toEqual([]);
    const [stage, scale] = [await fixture.box('.stage'), await fixture.scale()];
    const there = pointsAt(timeOfFrame(FRAME + 31)).get('left_fore_hoof')?.x ?? NaN;
    expect(((await fixture.middleOf(point)).x - stage.x) / scale).toBeCloseTo(there + 0.5, 0);
    expect(await fixture.page.getByText('The picture is coming').count()).toBe(0);
  });

  it('are put right in the frame in which they were taken, whatever is shown when they are let go', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(FRAME);
    const { mouse } = fixture.page;
    const at = await fixture.middleOf('[data-point=left_fore_hoof]');
    await mouse.move(at.x, at.y);
    await mouse.down();
    await mouse.move(at.x + 10, at.y);
    await fixture.page.evaluate((frame) => globalThis.session.showFrame(frame), FRAME + 20);
    await mouse.move(at.x + 20, at.y);
    await mouse.up();
    const times = await fixture.page.evaluate(() =>
      globalThis.session.hand.corrections.peek().map((c) => c.timeS),
    );
    expect(times).toEqual([timeOfFrame(FRAME)]);
  });
});
