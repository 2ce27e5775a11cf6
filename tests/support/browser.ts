/** A real Chromium on the project's own Vite server, for tests. */
import type { Browser, Page } from 'playwright-core';
import { createServer, type Plugin, type ViteDevServer } from 'vite';
import { launchChromium, root } from './programs.ts';
import { anyPort } from './port.ts';

export { root } from './programs.ts';

/** Vitest rewrites `import()` inside functions that it compiles, so the page brings its own `load`. */
const BLANK = `<!doctype html><title>blank</title><input id="files" type="file" multiple>
<script>
globalThis.__name = (f) => f;
globalThis.load = (path) => import(path);
globalThis.fileNamed = (name) => {
  const found = [...document.getElementById('files').files].find((file) => file.name === name);
  if (!found) throw new Error('no such file was given to the page: ' + name);
  return found;
};
</script>`;

declare global {
  /** On the blank page: imports a module of the project, e.g. `load('/src/clip/open.ts')`. */
  var load: (path: string) => Promise<unknown>;
  /** On the blank page: a file that `giveFiles` gave it, by its base name. */
  var fileNamed: (name: string) => File;
}

/** Serves an empty page at /blank.html, with the isolation headers switchable by ?isolated=0. */
function blankPage(): Plugin {
  return {
    name: 'blank-page',
    configureServer(server) {
      server.middlewares.use((request, response, next) => {
        const url = request.url ?? '';
        if (!url.startsWith('/blank.html')) return next();
        if (!url.includes('isolated=0')) {
          for (const [name, value] of Object.entries(server.config.server.headers)) {
            if (value !== undefined) response.setHeader(name, value);
          }
        }
        response.setHeader('Content-Type', 'text/html');
        response.end(BLANK);
      });
    },
  };
}

export interface App {
  /** Ends with a slash. */
  readonly url: string;
  readonly browser: Browser;
  /** An empty, cross-origin isolated page that can `load` the project's modules. */
  blank(options?: { isolated?: boolean }): Promise<Page>;
  /** A page of the app, e.g. `open('index.html')`. */
  open(path?: string): Promise<Page>;
  close(): Promise<void>;
}

async function startServer(): Promise<ViteDevServer> {
  const server = await createServer({
    root,
    configFile: `${root}/vite.config.ts`,
    // One to each of the tests that run at the same time.
    cacheDir: `${root}/node_modules/.vite-tests-${process.env['VITEST_POOL_ID'] ?? 0}`,
    logLevel: 'error',
    // Sources may change while tests run: the page under test must not reload.
    server: { port: anyPort(), strictPort: false, hmr: false, watch: null },
    // Found before the first page, so that none is bundled (and the page reloaded) in the middle of a test.
    optimizeDeps: { entries: ['src/**/*.{ts,tsx}', 'workers/*.ts'] },
    plugins: [blankPage()],
  });
  await server.listen();
  return server;
}

/** Starts server and browser; call `close` when done. CHROMIUM names the program (else `chromium` on the PATH). */
export async function startApp(options: { args?: readonly string[] } = {}): Promise<App> {
  await import(`${root}/scripts/assets.mjs` as string);
  const server = await startServer();
  const url = server.resolvedUrls?.local[0] ?? `http://localhost:${server.config.server.port}/`;
  const browser = await launchChromium(options);
  const open = async (path = ''): Promise<Page> => {
    const page = await browser.newPage();
    page.on('pageerror', (error) => console.error(`page error: ${error.message}`));
    await page.goto(url + path);
    return page;
  };
  return {
    url,
    browser,
    open,
    blank: ({ isolated = true } = {}) => open(`blank.html${isolated ? '' : '?isolated=0'}`),
    async close() {
      await browser.close();
      await server.close();
    },
  };
}

/** Lets a blank page read files of this machine, from disk and without copying them; see `fileNamed`. */
export async function giveFiles(page: Page, paths: readonly string[]): Promise<void> {
  await page.setInputFiles('#files', [...paths]);
}
