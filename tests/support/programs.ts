/** Paths of the programs outside npm that tests run. */
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('../..', import.meta.url));

interface Setup {
  ensureChromium(): string;
  ensureFfmpeg(): string;
}

const setup = (await import(`${root}/scripts/setup.mjs` as string)) as Setup;

/** From CHROMIUM, else the PATH; on Debian as root it is installed. */
export const chromiumPath = (): string => setup.ensureChromium();
/** From FFMPEG, else the PATH; on Debian as root it is installed. */
export const ffmpegPath = (): string => setup.ensureFfmpeg();
/** Debian and the usual builds lay it beside ffmpeg. */
export const ffprobePath = (): string => ffmpegPath().replace(/ffmpeg(\.exe)?$/, 'ffprobe$1');
