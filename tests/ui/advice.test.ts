/** What is said of leading and filming, in a real Chromium on the fixture engine. */
import { describe, expect, it } from 'vitest';
import { FPS } from './fixtureHorse.ts';
import { DESK, type FixturePage, PHONE, type Screen, fixturePages } from './fixturePage.ts';

const open = fixturePages();
let fixture: FixturePage;

const HIGH = { fromS: 1.5, toS: 3 } as const;

/** The drawn horse, as if it had carried its head high for a while. */
async function highHeaded(screen: Screen): Promise<void> {
  fixture = await open('?auto=1', screen);
  await fixture.page.evaluate(({ fromS, toS }) => {
    const { course } = globalThis.session;
    course.value = course.peek().map((one) => {
      if (one.kind !== 'side' || !one.pass) return one;
      const headH = Array.from({ length: 200 }, (_, i) => {
        const timeS = 0.4 + i / 50;
        return { timeS, poll: timeS > fromS && timeS < toS ? 1.4 : 1, withers: 1, croup: null };
      });
      return { ...one, pass: { ...one.pass, headH } };
    });
  }, HIGH);
  await moments().first().waitFor();
}

const coaching = () => fixture.page.getByRole('region', { name: 'To lead better next time' });
const moments = () => coaching().getByRole('listitem');
const takeCheck = () => fixture.page.getByRole('region', { name: 'How this pass was filmed' });
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

describe('moments to lead better', () => {
  it('are listed with their times, and lead the player there by the mouse', async () => {
    await highHeaded(DESK);
    expect(await moments().count()).toBe(1);
    expect(plain(await moments().innerText())).toMatch(
      /^1\.\d to 3\.\d s\s+The poll is carried well above the withers\.\s+Give the rope/,
    );
    await moments().getByRole('button').click();
    expect(Math.abs((await fixture.frame()) / FPS - HIGH.fromS)).toBeLessThan(0.2);
    expect(await moments().getByRole('button').getAttribute('aria-current')).toBe('true');
  });

  it('lead there by the keyboard', async () => {
    await highHeaded(DESK);
    const before = await fixture.frame();
    await moments().getByRole('button').focus();
    await fixture.page.keyboard.press('Enter');
    const after = await fixture.frame();
    expect(after).not.toBe(before);
    expect(Math.abs(after / FPS - HIGH.fromS)).toBeLessThan(0.2);
  });

  it('bring the picture into sight on a phone', async () => {
    await highHeaded(PHONE);
    await moments().getByRole('button').tap();
    await fixture.page.waitForFunction(() => {
      const { top = -1, bottom = 0 } = document.querySelector('.stage')?.getBoundingClientRect() ?? {};
      return top >= -1 && bottom <= innerHeight + 1;
    });
    expect(
      await fixture.page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
    ).toBeLessThanOrEqual(0);
  });

  it('are none in a plain walk, and that is said', async () => {
    fixture = await open('?auto=1', DESK);
    await coaching().waitFor();
    expect(await moments().count()).toBe(0);
    expect(await coaching().innerText()).toContain('Nothing stands out.');
  });

  it.each([DESK, PHONE])(
    'are none of a horse that is ridden and not led, and that is said',
    async (screen) => {
      fixture = await open('?auto=1', screen);
      await coaching().waitFor();
      /** A person down to this row of the picture, and so many feet of a handler. */
      const withPerson = (bottom: number, feet: number) =>
        fixture.page.evaluate(
          ([at, count]) => {
            const { poses } = globalThis.session;
            const foot = { x: 250, y: 400, score: 0.9 };
            poses.value = poses.peek().map((pose) => ({
              ...pose,
              horse: { box: [200, 150, 600, 450] as const, view: 'left' as const, points: {} },
              people: [[350, 50, 450, at] as const],
              handlerFeet: Array.from({ length: count }, () => foot),
            }));
          },
          [bottom, feet] as const,
        );
      await withPerson(300, 0);
      expect(await coaching().innerText()).toMatch(
        /^To lead better next time\s+Nobody leads the horse in this clip, it is ridden: nothing can be said of the leading, and what is measured of a ridden horse is not what it shows in hand\.$/,
      );
      const { x, width } = await fixture.box('.coaching');
      expect(x + width).toBeLessThanOrEqual(screen.width);
      // A rider on a horse that is led, and somebody who stands beside it.
      await withPerson(300, 2);
      expect(await coaching().innerText()).toContain('where the handler walks');
      await withPerson(450, 0);
      expect(await coaching().innerText()).toContain('No handler was seen in this clip.');
    },
  );
});

/** Which causes the check names of the drawn clip, as the core measures it. */
const causes = () =>
  takeCheck()
    .locator('[data-cause]')
    .evaluateAll((all) => all.map((one) => one.getAttribute('data-cause')));

describe('the take check', () => {
  const QUERY = '?auto=1&astray=1';
  const checked = async (screen: Screen) => {
    fixture = await open(QUERY, screen);
    await takeCheck().waitFor();
  };
  const type = async (label: string, text: string) => {
    await fixture.page.getByLabel(label, { exact: true }).fill(text);
    await fixture.page.keyboard.press('Tab');
  };
  /** As if the camera had moved, a cost large enough to be told in inches; with every so manieth picture. */
  const loseGround = async ({ every = 1 } = {}) => {
    await fixture.page.evaluate((nth) => {
      const { track, course } = globalThis.session;
      const seen = track.peek();
      if (!seen) throw new Error('no track');
      const some = <T>(all: readonly T[]): T[] => all.filter((_, i) => i % nth === 0);
      const points = Object.fromEntries(
        Object.entries(seen.points).map(([name, all]) => [name, some(all)]),
      ) as unknown as typeof seen.points;
      const [timesS, toStill, seenSide] = [some(seen.timesS), some(seen.toStill), some(seen.seenSide)];
      track.value = { ...seen, timesS, points, toStill, seenSide, groundSdPx: 1.5 };
      course.value = [...course.peek()];
    }, every);
    await takeCheck().locator('[data-cause=groundLost]').waitFor();
  };
  const costs = (unit: string) =>
    takeCheck()
      .getByText(new RegExp(`Costs [\\d.]+\\s${unit} of`))
      .first();

  it('stands before the table', async () => {
    await checked(DESK);
    const [check, table] = [await fixture.box('.take-check'), await fixture.box('.measures')];
    expect(check.y + check.height).toBeLessThanOrEqual(table.y);
    expect((await causes()).length).toBeGreaterThan(0);
    expect(await takeCheck().innerText()).toContain('Whether a hoof in the air is smeared is not told here');
  });

  it('tells costs in withers heights, in cm once there is a height, in inches where those are wanted', async () => {
    await checked(DESK);
    await loseGround();
    await costs('% of the withers height').waitFor();
    await type('Height at the withers in centimetres', '162');
    await loseGround();
    await costs('cm').waitFor();
    await fixture.page.locator('.withers select').selectOption('imperial');
    await costs('in').waitFor();
    expect(await takeCheck().innerText()).not.toMatch(/\d\scm/);
  });

  it('says that the horse is blurred within the width of a phone', async () => {
    await checked(PHONE);
    await fixture.page.evaluate(() => {
      const { track, course } = globalThis.session;
      const seen = track.peek();
      if (!seen) throw new Error('no track');
      track.value = { ...seen, blurPx: seen.timesS.map(() => 9) };
      course.value = [...course.peek()];
    });
    const finding = takeCheck().locator('[data-cause=blurred]');
    const more = takeCheck().getByRole('button', { name: /^\d more$/ });
    await finding.or(more).first().waitFor();
    if (!(await finding.isVisible())) await more.tap();
    expect(await finding.innerText()).toMatch(
      /smeared over 23 pixels\..*(Costs|no lengths)[^]*Wipe the lens/,
    );
    const { x, width } = await fixture.box('[data-cause=blurred]');
    expect(x + width).toBeLessThanOrEqual(PHONE.width);
  });

  it('shows three findings, and the others when asked', async () => {
    await checked(DESK);
    await loseGround({ every: 2 });
    expect(await causes()).toHaveLength(3);
    const more = takeCheck().getByRole('button', { name: /^\d more$/ });
    expect(await more.innerText()).toBe('1 more');
    await more.focus();
    await fixture.page.keyboard.press('Enter');
    expect(new Set(await causes())).toEqual(new Set(['groundLost', 'tooNear', 'legsHidden', 'fewPictures']));
    // The most costly first.
    expect((await causes())[0]).toBe('groundLost');
    await takeCheck().getByRole('button', { name: 'Fewer' }).click();
    expect(await causes()).toHaveLength(3);
  });

  it('is not looked at anew while a point is dragged, but once that is over', async () => {
    await checked(DESK);
    await fixture.showFrame(96);
    const { mouse } = fixture.page;
    const { x, y } = await fixture.middleOf('[data-point=left_fore_hoof]');
    await mouse.move(x, y);
    await mouse.down();
    for (let i = 1; i <= 12; i++) {
      await mouse.move(x + i, y);
      await fixture.page.waitForTimeout(50);
    }
    await mouse.up();
    expect(await takeCheck().getAttribute('aria-busy')).toBe('true');
    await fixture.page.waitForSelector('.take-check[aria-busy=false]');
  });

  it('is told of above the numbers on a phone, and can be gone to', async () => {
    await checked(PHONE);
    const line = fixture.page.locator('.take-check-line');
    const { y, height } = await fixture.box('.take-check-line');
    expect(height).toBeGreaterThanOrEqual(44);
    expect(y + height).toBeLessThanOrEqual((await fixture.box('.main-numbers')).y);
    await line.tap();
    expect(await fixture.page.evaluate(() => document.activeElement?.id)).toBe('take-check');
  });
});
