/** The filming card on the screen and on paper, in a real Chromium on the fixture engine. */
import { describe, expect, it } from 'vitest';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';

const open = fixturePages();
let fixture: FixturePage;

const link = () => fixture.page.getByRole('link', { name: 'Filming card, to print' });
const card = () => fixture.page.getByRole('article');
const heading = () => fixture.page.getByRole('heading', { name: 'How to film a led horse' });

describe('the filming card', () => {
  it('is reached from where a clip is chosen, is for the height typed in, and leads back', async () => {
    fixture = await open('', PHONE);
    await fixture.page.getByLabel('Height at the withers in centimetres').fill('150');
    await fixture.page.keyboard.press('Tab');
    await link().click();
    await heading().waitFor();
    expect(await card().innerText()).toMatch(/For a horse of 150\scm at the withers\./);
    // .55 of 1.5 m.
    expect(await card().innerText()).toMatch(/lens about 0\.8\sm high/);
    expect(await fixture.page.locator('.drop-zone').isVisible()).toBe(false);
    expect(
      await fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
    await fixture.page.getByRole('button', { name: 'Back' }).click();
    await fixture.page.locator('.drop-zone').waitFor();
    expect(await card().count()).toBe(0);
    expect(await fixture.text(':focus')).toBe('Filming card, to print');
  });

  it('is reached from the results, in feet where those are wanted, and leaves them as they were', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.page.locator('.withers select').selectOption('imperial');
    await fixture.showFrame(96);
    await link().click();
    await heading().waitFor();
    expect(await card().innerText()).toMatch(/Stand \d\d\sft from the middle/);
    // Keys of the player are not those of the card.
    await fixture.page.keyboard.press('.');
    expect(await fixture.frame()).toBe(96);
    await fixture.page.keyboard.press('Escape');
    await fixture.page.locator('.stage').waitFor();
    expect(await fixture.frame()).toBe(96);
  });

  it('says what the way in says of filming: there is one list', async () => {
    fixture = await open('', DESK);
    const short = await fixture.page.locator('.advice ul').first().locator('li').allInnerTexts();
    await link().click();
    const whole = await card().locator('li').allInnerTexts();
    expect(short.length).toBeGreaterThan(4);
    for (const line of short) expect(whole).toContain(line);
  });
});

/** Leaves of the page tree: PDF 32000-1:2008, 7.7.3.3. */
const pagesOf = (pdf: Buffer): number =>
  pdf.toString('latin1').match(/\/Type\s*\/Page(?![a-zA-Z])/g)?.length ?? 0;

describe('on paper', () => {
  // ISO 216 and ANSI A, mm; less the margins of 12 mm; 96 px an inch (CSS Values 3, absolute lengths).
  const px = (mm: number): number => Math.floor(((mm - 24) / 25.4) * 96);
  const SIZES = [
    ['A4', 210, 297],
    ['Letter', 215.9, 279.4],
  ] as const;

  it.each(SIZES)('%s: the card alone, on one page, no words cut', async (format, widthMm, heightMm) => {
    fixture = await open('?auto=1', DESK);
    expect(pagesOf(await fixture.page.pdf({ format, preferCSSPageSize: false }))).toBeGreaterThan(1);
    await link().click();
    await heading().waitFor();
    for (const [label, text] of [
      ['cm and m', 'metric'],
      ['hands and inches', 'imperial'],
    ] as const) {
      await fixture.page.evaluate((units) => (globalThis.session.units.value = units), text);
      expect(pagesOf(await fixture.page.pdf({ format })), label).toBe(1);
    }
    await fixture.page.emulateMedia({ media: 'print' });
    await fixture.page.setViewportSize({ width: px(widthMm), height: px(heightMm) });
    expect(
      await fixture.page.locator('.page-header, .stage, .card-buttons').filter({ visible: true }).count(),
    ).toBe(0);
    expect(await outside(px(widthMm), px(heightMm))).toEqual([]);
  });

  /** Words that are not wholly on a sheet of this size, or in the drawing. */
  const outside = (width: number, height: number) =>
    fixture.page.evaluate(
      ([w, h]) =>
        [...document.querySelectorAll('.filming-card :is(h2, h3, p, li, text)')].flatMap((element) => {
          const svg = element.closest('svg')?.getBoundingClientRect();
          const { left, right, top, bottom } = element.getBoundingClientRect();
          const within = svg ?? { left: 0, top: 0, right: w, bottom: h };
          const isIn =
            left >= within.left - 0.5 &&
            right <= within.right + 0.5 &&
            top >= within.top - 0.5 &&
            bottom <= within.bottom + 0.5;
          return (isIn && element.scrollWidth <= element.clientWidth + 1) || element.closest('.card-buttons')
            ? []
            : [element.textContent];
        }),
      [width, height] as const,
    );
});
