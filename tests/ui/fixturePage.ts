/** Opens the fixture page and acts on it, for the tests of the page. */
import type { BrowserContext, Locator, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect } from 'vitest';
import type { PointName } from '../../src/points.ts';
import type { Session } from '../../src/ui/session.ts';
import { FixtureServer } from './fixtureServer.ts';
import { FPS, WIDTH_PX } from './fixtureHorse.ts';

declare global {
  var session: Session;
}

export interface Screen {
  readonly width: number;
  readonly height: number;
  readonly touch?: boolean;
}
export const DESK: Screen = { width: 1280, height: 900 };
export const PHONE: Screen = { width: 390, height: 844, touch: true };

export interface XY {
  readonly x: number;
  readonly y: number;
}

/** The fixture page on one screen, with what a user does to it. */
export class FixturePage {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Errors that nothing on the page caught. */
  readonly errors: string[] = [];

  constructor(page: Page) {
    this.page = page;
    this.context = page.context();
    page.on('pageerror', (error) => this.errors.push(error.message));
  }

  /** ?auto=1 reads the drawn clip at once. */
  static async open(
    server: FixtureServer,
    query: string,
    { width, height, touch = false }: Screen,
  ): Promise<FixturePage> {
    const context = await server.browser.newContext({
      viewport: { width, height },
      hasTouch: touch,
      isMobile: touch,
    });
    await server.lend(context);
    const fixture = new FixturePage(await context.newPage());
    await fixture.page.goto(`${server.url}tests/ui/fixture.html${query}`);
    await fixture.page.waitForFunction(() => 'session' in globalThis);
    await server.keep(fixture.page);
    if (query.includes('auto=1')) await fixture.done();
    return fixture;
  }

  /** Once the clip is read and its measures are shown. */
  async done(): Promise<void> {
    await this.page.waitForFunction(() => globalThis.session?.phase.peek() === 'done', null, {
      timeout: 60_000,
    });
    await this.page.waitForSelector('.stage video');
    await this.page.waitForSelector('[data-measure=overtrackM]');
  }

  /** The button of one of the drawn clips that come with the page. */
  sample(title = 'A free walk past'): Locator {
    return this.page.getByRole('button', { name: title, exact: true });
  }

  async showFrame(frame: number): Promise<void> {
    await this.page.evaluate((index) => globalThis.session.showFrame(index), frame);
    await this.page.waitForFunction(
      ([index, fps]) => {
        const video = document.querySelector('video');
        const there = video && !video.seeking && Math.floor(video.currentTime * fps) === index;
        return there && !globalThis.session.waiting.peek();
      },
      [frame, FPS] as const,
    );
  }

  async box(selector: string) {
    const box = await this.page.locator(selector).boundingBox();
    if (!box) throw new Error(`${selector} is not shown`);
    return box;
  }

  /** Middle of an element on the screen. */
  async middleOf(selector: string): Promise<XY> {
    const { x, y, width, height } = await this.box(selector);
    return { x: x + width / 2, y: y + height / 2 };
  }

  /** px of the screen per px of the picture */
  async scale(): Promise<number> {
    const width = await this.page.evaluate(
      () => document.querySelector('video')?.getBoundingClientRect().width,
    );
    return (width ?? NaN) / WIDTH_PX;
  }

  async drag(from: XY, dx: number, dy: number): Promise<void> {
    const { mouse } = this.page;
    await mouse.move(from.x, from.y);
    await mouse.down();
    await mouse.move(from.x + dx / 2, from.y + dy / 2);
    await mouse.move(from.x + dx, from.y + dy);
    await mouse.up();
  }

  text(selector: string): Promise<string> {
    return this.page.locator(selector).innerText();
  }

  frame(): Promise<number> {
    return this.page.evaluate(() => globalThis.session.frame.peek());
  }

  /** A point of the track; NaN where it has none. */
  trackPoint(frame: number, point: PointName) {
    return this.page.evaluate(
      ([index, name]) => {
        const at = globalThis.session.track.peek()?.points[name][index];
        return { x: at?.x ?? NaN, y: at?.y ?? NaN, source: at?.source };
      },
      [frame, point] as const,
    );
  }

  async close(): Promise<void> {
    await this.context.close();
  }
}

/** For the tests of a file or block: opens pages, and after each test closes them and asks that none had an error. */
export function fixturePages(): (query: string, screen: Screen) => Promise<FixturePage> {
  let server: FixtureServer;
  let opened: FixturePage[] = [];
  beforeAll(async () => {
    server = await FixtureServer.start();
  });
  afterAll(async () => {
    await server.close();
  });
  afterEach(async () => {
    const pages = opened;
    opened = [];
    for (const page of pages) await page.close();
    expect(pages.flatMap(({ errors }) => errors)).toEqual([]);
  });
  return async (query, screen) => {
    const page = await FixturePage.open(server, query, screen);
    opened.push(page);
    return page;
  };
}
