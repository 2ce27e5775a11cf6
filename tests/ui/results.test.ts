/** What the page shows of a result, in a real Chromium on the fixture engine. */
import { describe, expect, it } from 'vitest';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';
import { FPS } from './fixtureHorse.ts';

const open = fixturePages();
let fixture: FixturePage;

describe('main numbers', () => {
  it('stand beneath the picture on a phone, within its first screen, and lead to the table', async () => {
    fixture = await open('?auto=1', PHONE);
    const { y, height } = await fixture.box('.main-numbers');
    expect(y + height).toBeLessThan(PHONE.height);
    expect(await fixture.text('.main-numbers')).toMatch(/Overtrack\s+8\s% of the withers height \(6 to 10\)/);
    await fixture.page.locator('.main-numbers').getByRole('link', { name: 'To the measures' }).click();
    expect(await fixture.page.evaluate(() => document.activeElement?.id)).toBe('measures');
  });

  it('are skipped to by the keyboard from the top of the page', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.page.keyboard.press('Tab');
    expect(await fixture.text(':focus')).toBe('To the measures');
    await fixture.page.keyboard.press('Enter');
    expect(await fixture.page.evaluate(() => document.activeElement?.id)).toBe('measures');
  });
});

describe('where nothing was measured', () => {
  const withoutPass = (box: readonly [number, number, number, number] | null) =>
    fixture.page.evaluate((seen) => {
      const { course, poses } = globalThis.session;
      course.value = [];
      const horse = seen && { box: seen, view: 'left' as const, points: {} };
      poses.value = poses.peek().map((pose) => ({ ...pose, horse }));
    }, box);

  it('nothing that needs a horse is offered where there is none', async () => {
    fixture = await open('?auto=1', DESK);
    await withoutPass(null);
    expect(await fixture.text('.failure')).toMatch(/^No horse was found in this clip\.\s+Film in good light/);
    for (const needy of [
      '.scale',
      '.point-panel',
      '.legend',
      '.keys',
      '.measures',
      '.main-numbers',
      '.export',
    ])
      expect(await fixture.page.locator(needy).count(), needy).toBe(0);
    expect(await fixture.page.getByRole('button', { name: 'Closer' }).count()).toBe(0);
    expect(await fixture.page.getByRole('button', { name: 'Another horse' }).isVisible()).toBe(true);
  });

  it('a horse taller than wide raises the question whether the clip lies on its side', async () => {
    fixture = await open('?auto=1', DESK);
    await withoutPass([100, 100, 500, 300]);
    expect(await fixture.text('.failure')).not.toContain('on its side');
    await withoutPass([100, 100, 300, 500]);
    expect(await fixture.text('.failure')).toContain('on its side');
  });
});

describe('the details', () => {
  it('say in plain words how it was measured, and by which version after', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.page.getByText('Details of how this was measured').click();
    expect(await fixture.page.locator('.method details p').allInnerTexts()).toEqual([
      '270 pictures decoded by the browser; a network trained on pictures of horses found the points in them, on the processor. All of it on this machine.',
      'Network version fixture, run with WebAssembly.',
    ]);
  });
});

describe('names and keys', () => {
  it('every end of a bar has a name of its own, and all are one stop of the Tab key', async () => {
    fixture = await open('?auto=1', DESK);
    const names = await fixture.page
      .locator('.footfalls [role=slider]')
      .evaluateAll((all) => all.map((edge) => edge.getAttribute('aria-label')));
    expect(names).toContain('left hind lands, 2');
    expect(new Set(names).size).toBe(names.length);
    expect(await fixture.page.locator('.footfalls [role=slider][tabindex="0"]').count()).toBe(1);
    await fixture.page.locator('[data-edge="LH 1 on"]').focus();
    await fixture.page.keyboard.press('ArrowDown');
    expect(await fixture.page.evaluate(() => document.activeElement?.getAttribute('data-edge'))).toBe(
      'LH 1 off',
    );
  });
});

describe('edits and passes', () => {
  it('a hoof put far from its leg is asked about, and taken back', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(96);
    const before = await fixture.trackPoint(96, 'left_fore_hoof');
    await fixture.drag(await fixture.middleOf('[data-point=left_fore_hoof]'), 12, 4);
    expect(await fixture.text('.notice')).not.toContain('far from the leg');
    await fixture.page.keyboard.press('Control+z');
    await fixture.drag(await fixture.middleOf('[data-point=left_fore_hoof]'), 79, 0);
    expect(await fixture.text('.notice')).toContain('That is far from the leg: was it meant?');
    await fixture.page.getByRole('button', { name: 'Take it back' }).click();
    expect((await fixture.trackPoint(96, 'left_fore_hoof')).x).toBeCloseTo(before.x, 6);
    expect(await fixture.text('.notice')).not.toContain('far from the leg');
  });

  it('moving into another pass shows its measures, and says so', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.page.evaluate(() => {
      const { course } = globalThis.session;
      const [first] = course.peek();
      if (first?.kind !== 'side' || !first.pass) throw new Error('The fixture has no pass');
      const later = { startS: 3, direction: 'right' as const };
      course.value = [
        { ...first, endS: 2, pass: { ...first.pass, endS: 2 } },
        { ...first, ...later, pass: { ...first.pass, ...later } },
      ];
    });
    await fixture.showFrame(2.5 * FPS);
    expect(await fixture.page.evaluate(() => globalThis.session.passIndex.peek())).toBe(0);
    await fixture.showFrame(3.5 * FPS);
    expect(await fixture.text('.measures h2 + .note')).toContain('Walking to the right');
    expect(await fixture.text('.notice')).toContain('the pass “Past, to the right”');
  });
});
