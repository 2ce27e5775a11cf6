/** The height at the withers: typed in, offered again, kept with its clip. */
import { describe, expect, it } from 'vitest';
import { heightOfTexts } from '../../src/ui/heightEntry.ts';
import { WithersHeight } from '../../src/ui/withersHeight.ts';
import { DESK, type FixturePage, fixturePages } from './fixturePage.ts';

describe('a height typed in', () => {
  it('is understood with decimal point or comma, and in hands as the trade writes them', () => {
    expect(heightOfTexts(['162'], 'metric')).toBeCloseTo(1.62, 9);
    expect(heightOfTexts(['161,5'], 'metric')).toBeCloseTo(1.615, 9);
    // A hand is 4 inches of 25.4 mm: 15.2 hands are 62 inches.
    expect(heightOfTexts(['15.2', ''], 'imperial')).toBeCloseTo(62 * 0.0254, 9);
    expect(heightOfTexts(['15', '2'], 'imperial')).toBeCloseTo(62 * 0.0254, 9);
  });

  it('is none in metres, in words or with more than three inches to the hand', () => {
    for (const text of ['1.62', '1620', 'tall', '16x', '-162'])
      expect(heightOfTexts([text], 'metric')).toBeNaN();
    expect(heightOfTexts(['15', '5'], 'imperial')).toBeNaN();
  });
});

describe('the height offered for the next clip', () => {
  it('is that of the last real horse, whatever was typed in for a drawn one', () => {
    const height = new WithersHeight(1.48);
    height.next(1.62);
    height.type(1.7, { ahead: true });
    height.settle();
    height.type(1.66, { ahead: false });
    height.next(null);
    expect(height.offeredM.value).toBe(1.48);
  });

  it('is one typed in beforehand, even after a drawn clip that could not be read', () => {
    const height = new WithersHeight(null);
    height.next(1.62);
    height.type(1.55, { ahead: true });
    expect(height.lastM.value).toBeNull();
    height.next(null);
    expect(height.inForceM.value).toBe(1.55);
    height.settle();
    height.next(null);
    expect(height.offeredM.value).toBe(1.55);
  });
});

describe('the field for the height', () => {
  const open = fixturePages();
  let fixture: FixturePage;
  const field = () => fixture.page.getByLabel('Height at the withers in centimetres');
  const withersM = () => fixture.page.evaluate(() => globalThis.session.withersM.peek());
  const read = async (name: string) => {
    await fixture.page.evaluate(async (given) => {
      const blob = await (await fetch((await globalThis.session.engine).samples[0]?.url ?? '')).blob();
      void globalThis.session.read(new File([blob], given, { type: 'video/mp4' }));
    }, name);
    await fixture.done();
  };

  it('is empty for the next clip and offers the last height; a clip seen before has its own', async () => {
    fixture = await open('?auto=1', DESK);
    await field().fill('162');
    await fixture.page.waitForFunction(() => globalThis.session.withersM.peek() === 1.62);
    await read('foal.mp4');
    expect(await field().inputValue()).toBe('');
    expect(await withersM()).toBeNull();
    expect(await fixture.text('[data-measure=speedMps]')).toContain('needs the height');
    await fixture.page.getByRole('button', { name: '162\u00a0cm, as in the last clip' }).click();
    expect(await field().inputValue()).toBe('162');
    await field().fill('120');
    await fixture.page.waitForFunction(() => globalThis.session.withersM.peek() === 1.2);
    await read('drawn-walk.mp4');
    expect(await field().inputValue()).toBe('162');
    await read('foal.mp4');
    expect(await field().inputValue()).toBe('120');
  });

  it('takes what is typed on the start page for the next clip only', async () => {
    fixture = await open('', DESK);
    await field().fill('150,5');
    await field().blur();
    await read('mare.mp4');
    expect(await withersM()).toBeCloseTo(1.505, 9);
    await fixture.page.getByRole('button', { name: 'Another clip' }).click();
    expect(await field().inputValue()).toBe('');
    await read('foal.mp4');
    expect(await withersM()).toBeNull();
  });

  it('is there while the clip is read, and keeps what is typed meanwhile', async () => {
    fixture = await open('?readingMs=2500', DESK);
    await fixture.sample().click();
    await fixture.page.waitForSelector('.reading');
    await field().fill('171');
    await fixture.done();
    expect(await withersM()).toBeCloseTo(1.71, 9);
    await fixture.page.reload();
    await fixture.sample().click();
    await fixture.done();
    expect(await fixture.text('.notice')).toContain('kept with this clip');
    expect(await field().inputValue()).toBe('171');
    await field().fill('abc');
    expect(await fixture.text('.notice')).toBe('');
  });

  it('counts while typing and leaves a wrong entry as it is, naming the unit', async () => {
    fixture = await open('?auto=1', DESK);
    await field().pressSequentially('162');
    await fixture.page.waitForFunction(() => globalThis.session.withersM.peek() === 1.62);
    expect(await fixture.page.evaluate(() => document.activeElement?.tagName)).toBe('INPUT');
    await field().fill('1.62');
    await fixture.page
      .getByText('In cm, e.g. 162; between 50 and 220. Until then 162\u00a0cm counts.')
      .waitFor();
    await fixture.page.keyboard.press('Tab');
    expect(await field().inputValue()).toBe('1.62');
    expect(await withersM()).toBe(1.62);
  });
});
