/** Paths of the programs outside npm that tests run. */
import { fileURLToPath } from 'node:url';
import type { Browser } from 'playwright-core';

export const root = fileURLToPath(new URL('../..', import.meta.url));

interface Setup {
  ensureFfmpeg(): string;
}

const setup = (await import(`${root}/scripts/setup.mjs` as string)) as Setup;

interface Chromium {
  launchChromium(options?: { readonly webgl?: boolean; readonly args?: readonly string[] }): Promise<Browser>;
}

/** From CHROMIUM, else the PATH; on Debian as root it is installed. */
export const { launchChromium } = (await import(`${root}/scripts/chromium.mjs` as string)) as Chromium;
/** From FFMPEG, else the PATH; on Debian as root it is installed. */
export const ffmpegPath = (): string => setup.ensureFfmpeg();
/** Debian and the usual builds lay it beside ffmpeg. */
export const ffprobePath = (): string => ffmpegPath().replace(/ffmpeg(\.exe)?$/, 'ffprobe$1');
