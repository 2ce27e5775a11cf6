/** Another horse than the one found by itself, and clips without any. */
import { describe, expect, it } from 'vitest';
import { HORSES } from './fixtureEngine.ts';
import { DESK, type FixturePage, fixturePages } from './fixturePage.ts';

const open = fixturePages();
let fixture: FixturePage;

describe('another horse', () => {
  const look = async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(100);
    await fixture.page.getByRole('button', { name: 'Another horse' }).click();
  };

  it('is chosen among those that are framed in the picture, and the clip is read again with it', async () => {
    await look();
    const second = fixture.page.getByRole('button', { name: 'Horse 2: follow this one' });
    const [box, stage, scale] = [
      await second.boundingBox(),
      await fixture.box('.stage'),
      await fixture.scale(),
    ];
    const [x0, y0, x1] = HORSES[1] ?? [NaN, NaN, NaN];
    expect(((box?.x ?? NaN) - stage.x) / scale).toBeCloseTo(x0 + 0.5, 0);
    expect(((box?.y ?? NaN) - stage.y) / scale).toBeCloseTo(y0 + 0.5, 0);
    expect((box?.width ?? NaN) / scale).toBeCloseTo(x1 - x0, 0);
    await second.click();
    await fixture.done();
    expect(await fixture.text('.method')).toContain('horse chosen by hand at 1.667\u00a0s');
    await fixture.page.getByRole('button', { name: 'Another horse' }).click();
    await fixture.page.getByRole('button', { name: 'The horse found by itself' }).click();
    await fixture.done();
    expect(await fixture.text('.method')).not.toContain('chosen by hand');
  });

  it('is given up by Cancel, which comes back to the measures that were there', async () => {
    fixture = await open('?auto=1&againMs=20000', DESK);
    await fixture.page.getByLabel('Height at the withers in centimetres').fill('162');
    await fixture.page.keyboard.press('Tab');
    await fixture.showFrame(96);
    await fixture.drag(await fixture.middleOf('[data-point=left_fore_hoof]'), 12, 4);
    const shown = async () => ({
      figures: await fixture.page.locator('.measures .figure').allInnerTexts(),
      point: await fixture.trackPoint(96, 'left_fore_hoof'),
      frame: await fixture.frame(),
      method: await fixture.page.locator('.method').textContent(),
      height: await fixture.page.getByLabel('Height at the withers in centimetres').inputValue(),
    });
    const before = await shown();
    expect(before.figures[0]).toMatch(/cm/);
    expect(before.point.source).toBe('hand');
    await fixture.page.getByRole('button', { name: 'Another horse' }).click();
    await fixture.page.getByRole('button', { name: 'Horse 2: follow this one' }).click();
    await fixture.page.waitForSelector('progress[value]');
    expect(await fixture.page.locator('.measures').count()).toBe(0);
    await fixture.page.getByRole('button', { name: 'Cancel' }).click();
    await fixture.done();
    expect(await shown()).toEqual(before);
    // The video is there again too, at the frame that was shown, and points can be moved on.
    await fixture.showFrame(96);
    await fixture.drag(await fixture.middleOf('[data-point=left_fore_hoof]'), -12, -4);
    expect((await fixture.trackPoint(96, 'left_fore_hoof')).x).toBeLessThan(before.point.x - 5);
    await fixture.page.getByRole('button', { name: 'Another clip' }).click();
    await fixture.page.getByRole('button', { name: 'Choose a clip' }).waitFor();
  });

  it('is no longer offered once another frame is shown', async () => {
    await look();
    await fixture.page.getByRole('button', { name: 'Horse 1: follow this one' }).waitFor();
    await fixture.page.locator('body').press('.');
    expect(await fixture.page.locator('.horse-frames button, .horse-choice').count()).toBe(0);
  });
});

describe('a clip without a horse', () => {
  it('says so, offers no other one and nothing to save', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.page.evaluate(() => (globalThis.session.course.value = []));
    expect(await fixture.text('.failure')).toMatch(/^No horse was found in this clip\./);
    expect(await fixture.page.getByRole('button', { name: /Save the measures/ }).count()).toBe(0);
  });
});
