/** The production build, served, and a real Chromium on it. */
import type { Browser, BrowserContextOptions } from 'playwright-core';
import { build, preview } from 'vite';
import { launchChromium, root } from '../support/programs.ts';
import { Visit } from './visit.ts';
import { anyPort } from '../support/port.ts';

/** One to each of the tests that run at the same time. */
const OUT_DIR = `${root}/tests/.cache/built-${process.env['VITEST_POOL_ID'] ?? 0}`;
const configFile = `${root}/vite.config.ts`;

export interface Built {
  readonly browser: Browser;
  /** Ends with a slash. */
  readonly url: string;
  /** A new visitor, with storage of his own. */
  visit(options?: BrowserContextOptions): Promise<Visit>;
  close(): Promise<void>;
}

export async function startBuilt(): Promise<Built> {
  await import(`${root}/scripts/assets.mjs` as string);
  await build({ root, configFile, logLevel: 'error', build: { outDir: OUT_DIR, emptyOutDir: true } });
  const server = await preview({
    root,
    configFile,
    logLevel: 'error',
    build: { outDir: OUT_DIR },
    preview: { port: anyPort(), strictPort: false, host: 'localhost' },
  });
  const url = server.resolvedUrls?.local[0] ?? '';
  const browser = await launchChromium();
  return {
    browser,
    url,
    async visit(options = {}) {
      const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
      const visit = new Visit(await context.newPage(), url);
      await visit.page.goto(url);
      return visit;
    },
    async close() {
      await browser.close();
      await server.close();
    },
  };
}
