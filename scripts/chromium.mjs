// A headless Chromium for commands and tests.
import { ensureChromium } from './setup.mjs';

const QUIET = [
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];
const ON_PROCESSOR = ['--disable-gpu'];
/** WebGL drawn by the processor: for pictures, slow and the same everywhere. */
const SOFTWARE_WEBGL = ['--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--ignore-gpu-blocklist'];

/** Starts the browser that ensureChromium() finds or installs; close it when done. */
export async function launchChromium({ webgl = false, args = [] } = {}) {
  const { chromium } = await import('playwright-core');
  return chromium.launch({
    executablePath: ensureChromium(),
    args: [
      // Chromium has no sandbox for root.
      ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
      ...QUIET,
      ...(webgl ? SOFTWARE_WEBGL : ON_PROCESSOR),
      ...args,
    ],
  });
}
