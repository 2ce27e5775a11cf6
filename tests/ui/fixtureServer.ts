/** Builds and serves the fixture page, and a Chromium for it: one to each of the tests that run at the same time. */
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { build, preview } from 'vite';
import { launchChromium, root } from '../support/programs.ts';
import { anyPort } from '../support/port.ts';

const configFile = `${root}/vite.config.ts`;
const outDir = `${root}/tests/.cache/fixture-${process.env['VITEST_POOL_ID'] ?? 0}`;
const input = `${root}/tests/ui/fixture.html`;

export class FixtureServer {
  readonly browser: Browser;
  readonly url: string;
  readonly #close: () => Promise<void>;
  /** The drawn clip, once a page has made it: the next pages take it as it is. */
  #video: Buffer | null = null;

  private constructor(browser: Browser, url: string, close: () => Promise<void>) {
    this.browser = browser;
    this.url = url;
    this.#close = close;
  }

  static async start(): Promise<FixtureServer> {
    await build({
      root,
      configFile,
      logLevel: 'error',
      publicDir: false,
      build: { outDir, emptyOutDir: true, rollupOptions: { input } },
    });
    const server = await preview({
      root,
      configFile,
      logLevel: 'error',
      build: { outDir },
      preview: { port: anyPort(), strictPort: false, host: 'localhost' },
    });
    const browser = await launchChromium();
    return new FixtureServer(browser, server.resolvedUrls?.local[0] ?? '', () => server.close());
  }

  /** Hands the pages of a context the drawn clip, where it is there. */
  async lend(context: BrowserContext): Promise<void> {
    const body = this.#video;
    if (body)
      await context.route('**/fixture.mp4', (route) => route.fulfill({ body, contentType: 'video/mp4' }));
  }

  /** Keeps the clip that this page has drawn. */
  async keep(page: Page): Promise<void> {
    if (this.#video) return;
    const url = await page.evaluate(async () => (await globalThis.session.engine).samples[0]?.url ?? '');
    const bytes = await page.evaluate(async (from) => {
      const blob = await (await fetch(from)).blob();
      return Array.from(new Uint8Array(await blob.arrayBuffer()));
    }, url);
    this.#video = Buffer.from(bytes);
  }

  async close(): Promise<void> {
    await this.browser.close();
    await this.#close();
  }
}
