/** A visitor of the page: only what a user sees and does, nothing of the page's insides. */
import { readFileSync } from 'node:fs';
import { expect, vi } from 'vitest';
import type { Page } from 'playwright-core';
import type { Limb, Side } from '../../src/points.ts';
import type { ResultFile } from '../../src/report/contract.ts';

export interface XY {
  readonly x: number;
  readonly y: number;
}

/** A long clip on a busy machine without a graphics card. */
const READ_MS = 90_000;

export class Visit {
  readonly page: Page;
  /** Errors that nothing on the page caught. */
  readonly errors: string[] = [];
  /** Requests to anywhere but the page's own server. */
  readonly foreign: string[] = [];
  /** Names of the files that workers were started from, since the last load of the page. */
  workersStarted: string[] = [];
  requests = 0;

  constructor(page: Page, url: string) {
    this.page = page;
    page.setDefaultTimeout(READ_MS);
    page.on('pageerror', (error) => this.errors.push(error.message));
    page.on('worker', (worker) => this.workersStarted.push(new URL(worker.url()).pathname));
    page.context().on('request', (request) => {
      this.requests++;
      const asked = request.url();
      if (!asked.startsWith(url) && !/^(blob:|data:)/.test(asked)) this.foreign.push(asked);
    });
  }

  async give(file: string): Promise<void> {
    await this.page.setInputFiles('input[type=file]', file);
  }

  async reload(): Promise<void> {
    await this.page.reload();
    this.workersStarted = [];
  }

  /** Once the measures, or the reason why there are none, are shown. */
  async done(): Promise<void> {
    await this.page.waitForSelector('.method, .intake .failure', { timeout: READ_MS });
    const failure = this.page.locator('.intake .failure');
    if ((await failure.count()) > 0) throw new Error(await failure.innerText());
    await this.page.locator('.method details').evaluate((details) => details.setAttribute('open', ''));
  }

  /** Every worker is gone; the browser is a moment late in saying so. */
  async noWorkers(): Promise<void> {
    await vi.waitFor(() => expect(this.page.workers()).toHaveLength(0), { timeout: 3000 });
  }

  async typeHeight(cm: number): Promise<void> {
    await this.page.getByLabel('Height at the withers in centimetres').fill(String(cm));
    await this.page.keyboard.press('Tab');
  }

  text = (selector: string): Promise<string> => this.page.locator(selector).innerText();

  async nearSide(): Promise<Side> {
    return (await this.text('.measures')).includes('its left side near') ? 'left' : 'right';
  }

  /** What the button for saving saves. */
  async saved(): Promise<ResultFile> {
    const download = this.page.waitForEvent('download');
    await this.page.getByRole('button', { name: 'Save the measures' }).click();
    return JSON.parse(readFileSync(await (await download).path(), 'utf8')) as ResultFile;
  }

  async middleOf(selector: string): Promise<XY> {
    const box = await this.page.locator(selector).first().boundingBox();
    if (!box) throw new Error(`${selector} is not shown`);
    return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  }

  /** Shows the middle of a whole stance of this limb: its bar is clicked, as near to the middle of the clip as can be. */
  async showStance(limb: Limb): Promise<void> {
    const edges = this.page.locator(`[data-edge^="${limb} "]`);
    const keys = await edges.evaluateAll((all) => all.map((edge) => edge.getAttribute('data-edge') ?? ''));
    const whole = keys.filter((key) => key.endsWith(' on') && keys.includes(key.replace(/on$/, 'off')));
    const on = whole[Math.floor(whole.length / 2)];
    if (on === undefined) throw new Error(`No whole stance of ${limb} is shown`);
    await this.page.locator('.footfalls').scrollIntoViewIfNeeded();
    const [from, to] = [await this.edgeAt(on), await this.edgeAt(on.replace(/on$/, 'off'))];
    await this.page.mouse.click((from.x + to.x) / 2, from.y);
    await this.settled();
  }

  private readonly edgeAt = (key: string): Promise<XY> => this.middleOf(`[data-edge="${key}"]`);

  /** Once the video shows the frame that is asked for. */
  async settled(): Promise<void> {
    await this.page.waitForFunction(() => {
      const video = document.querySelector('video');
      const shownS = parseFloat(document.querySelector('.where')?.textContent ?? '');
      const there = document.querySelector('.stage[data-waiting=false]') !== null;
      return (
        there && video && video.readyState > 1 && !video.seeking && Math.abs(video.currentTime - shownS) < 0.1
      );
    });
  }

  async drag(from: XY, dx: number, dy: number): Promise<void> {
    const { mouse } = this.page;
    await mouse.move(from.x, from.y);
    await mouse.down();
    for (const share of [0.3, 0.7, 1]) await mouse.move(from.x + share * dx, from.y + share * dy);
    await mouse.up();
  }

  async close(): Promise<void> {
    await this.page.context().close();
  }
}
