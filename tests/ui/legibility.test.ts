/** Sizes and contrast on the screen, in a real Chromium. */
import { describe, expect, it } from 'vitest';
import { DESK, type FixturePage, PHONE, fixturePages } from './fixturePage.ts';

const open = fixturePages();
let fixture: FixturePage;

describe('on a phone', () => {
  /** Least size of what a finger must hit: WCAG 2.2, success criterion 2.5.5. */
  const TOUCH_PX = 44;

  const smallTargets = () =>
    fixture.page.evaluate((least) => {
      const found = [...document.querySelectorAll('button, select, input, summary, [role=slider]')];
      return found
        .filter((element) => !element.closest('.handles, .unseen') && element.checkVisibility())
        .map((element) => ({ box: element.getBoundingClientRect(), html: element.outerHTML.slice(0, 90) }))
        .filter(({ box }) => box.height < least - 0.1 || box.width < least - 0.1)
        .map(({ box, html }) => `${box.width.toFixed(0)} x ${box.height.toFixed(0)}: ${html}`);
    }, TOUCH_PX);
  const overflow = () => fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth);

  it('has targets for fingers and no sideways scrolling, before and after a clip', async () => {
    fixture = await open('', PHONE);
    await fixture.sample().waitFor();
    expect(await smallTargets()).toEqual([]);
    expect(await overflow()).toBeLessThanOrEqual(0);
    await fixture.sample().click();
    await fixture.done();
    await fixture.showFrame(96);
    await fixture.page.locator('.point-panel select').selectOption('left_hind_hoof');
    expect(await smallTargets()).toEqual([]);
    expect(await overflow()).toBeLessThanOrEqual(0);
    await fixture.page.locator('.withers select').selectOption('imperial');
    await fixture.page.getByLabel('Hands', { exact: true }).fill('16');
    await fixture.page.keyboard.press('Tab');
    expect(await overflow()).toBeLessThanOrEqual(0);
  });
});

describe('text', () => {
  /** Contrast of text, WCAG 2.2, success criterion 1.4.3 (AA): at least 4.5. */
  const pale = () =>
    fixture.page.evaluate(() => {
      const rgb = (colour: string) => (colour.match(/[\d.]+/g) ?? []).map(Number);
      const luminance = (colour: string) => {
        const [r = 0, g = 0, b = 0] = rgb(colour).map((c) =>
          c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4,
        );
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
      };
      const behind = (element: Element | null): string => {
        if (!element) return 'rgb(255, 255, 255)';
        const { backgroundColor } = getComputedStyle(element);
        return rgb(backgroundColor)[3] === 0 ? behind(element.parentElement) : backgroundColor;
      };
      return [...document.querySelectorAll('body *')]
        .filter((element) => element.checkVisibility() && !element.matches(':disabled, option'))
        .filter((element) =>
          [...element.childNodes].some((node) => node.nodeType === 3 && node.nodeValue?.trim()),
        )
        .flatMap((element) => {
          const style = getComputedStyle(element);
          const [a, b] = [
            luminance(element instanceof SVGElement ? style.fill : style.color),
            luminance(behind(element)),
          ];
          const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
          return ratio < 4.5 ? [`${ratio.toFixed(2)}: ${element.textContent?.slice(0, 40)}`] : [];
        });
    });

  it('stands out from what is behind it', async () => {
    fixture = await open('', DESK);
    await fixture.sample().waitFor();
    expect(await pale()).toEqual([]);
    await fixture.sample().click();
    await fixture.done();
    expect(await pale()).toEqual([]);
  });
});
