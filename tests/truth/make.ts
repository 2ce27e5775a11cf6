/** Draws clips in a headless Chromium and encodes them with ffmpeg. Run by render.mjs. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, writeFileSync } from 'node:fs';
import type { Browser, Page } from 'playwright-core';
import { createServer } from 'vite';
import type { PointName } from '../../src/points.ts';
import { project } from './camera.ts';
import type { Vec } from './curves.ts';
import type { ClipPlan } from './plans.ts';
import { cameraOf, truthOf, type TruthFile } from './truth.ts';
import type {} from './page.ts';
import { anyPort } from '../support/port.ts';

export interface Programs {
  readonly root: string;
  readonly browser: () => Promise<Browser>;
  readonly ffmpeg: string;
}

export interface Studio {
  /** Draws the clip to `stem`.mp4 and its truth to `stem`.truth.json. */
  make(plan: ClipPlan, stem: string): Promise<void>;
  /** A few pictures of a clip as JPEG files, to look at. */
  look(plan: ClipPlan, indices: readonly number[], stem: string): Promise<void>;
  close(): Promise<void>;
}

/** A browser in which clips are drawn, each on a page of its own. */
export async function openStudio(programs: Programs): Promise<Studio> {
  const server = await createServer({
    root: programs.root,
    configFile: false,
    // One to each of the processes that draw at the same time.
    cacheDir: `${programs.root}/node_modules/.vite-truth-${process.env['VITEST_POOL_ID'] ?? 0}`,
    logLevel: 'error',
    server: { port: anyPort(), strictPort: false, hmr: false, watch: null },
    optimizeDeps: { include: ['three'], noDiscovery: true },
  });
  await server.listen();
  const browser = await programs.browser();
  const address = new URL('tests/truth/page.html', server.resolvedUrls?.local[0]).href;
  const withPage = async (plan: ClipPlan, work: (page: Page) => Promise<void>): Promise<void> => {
    const page = await browser.newPage();
    try {
      page.on('pageerror', (error) => process.stderr.write(`${error.stack ?? error.message}\n`));
      await page.goto(address);
      await page.waitForFunction(() => 'truthPage' in globalThis);
      await page.evaluate((given) => globalThis.truthPage.start(given), plan);
      await work(page);
    } finally {
      await page.close();
    }
  };
  return {
    make: (plan, stem) => withPage(plan, (page) => makeClip(page, programs, plan, stem)),
    look: (plan, indices, stem) => withPage(plan, (page) => drawPictures(page, indices, stem)),
    async close() {
      await browser.close();
      await server.close();
    },
  };
}

const pictureOf = async (page: Page, index: number): Promise<Buffer> =>
  Buffer.from(await page.evaluate((i) => globalThis.truthPage.picture(i), index), 'base64');

async function drawPictures(page: Page, indices: readonly number[], stem: string): Promise<void> {
  for (const index of indices) {
    const startedMs = performance.now();
    writeFileSync(`${stem}-${index}.jpg`, await pictureOf(page, index));
    process.stderr.write(`picture ${index}: ${Math.round(performance.now() - startedMs)} ms\n`);
  }
}

function encoder(programs: Programs, plan: ClipPlan, file: string): ReturnType<typeof spawn> {
  const { fps, timeJitter } = plan.camera;
  // A phone's sensor noise, the same in every run.
  const { noise, gain, kbps } = plan.exposure;
  const sensor = [
    `lutrgb=r='clip(val*${gain},0,255)':g='clip(val*${gain},0,255)':b='clip(val*${gain},0,255)'`,
    `noise=all_seed=${plan.scene.seed}:all_strength=${Math.round(noise * 2.7)}:all_flags=t`,
  ].join(',');
  // As frameTimeS has it; in the time base of the pipe (1 / fps) every wavering time would be rounded to a whole frame.
  const times = timeJitter === 0 ? '' : `,settb=1/90000,setpts='(N+${timeJitter}*sin(1.7*N))/${fps}/TB'`;
  return spawn(
    programs.ffmpeg,
    ['-y', '-v', 'error', '-f', 'image2pipe', '-c:v', 'mjpeg', '-framerate', String(fps), '-i', '-'].concat(
      ['-vf', `${sensor},scale=out_range=tv:out_color_matrix=bt709,format=yuv420p${times}`],
      timeJitter === 0 ? [] : ['-fps_mode', 'passthrough', '-enc_time_base', '1:90000'],
      ['-colorspace', 'bt709', '-color_primaries', 'bt709', '-color_trc', 'bt709', '-color_range', 'tv'],
      ['-c:v', 'libx264', '-preset', 'veryfast', '-b:v', `${kbps}k`],
      ['-maxrate', `${1.5 * kbps}k`, '-bufsize', `${2 * kbps}k`],
      ['-g', String(fps), '-threads', '1', '-fflags', '+bitexact', '-flags:v', '+bitexact'],
      ['-map_metadata', '-1', '-movflags', '+faststart', file],
    ),
    { stdio: ['pipe', 'inherit', 'inherit'] },
  );
}

/** The largest difference between where the drawing and camera.ts see a few places, px. */
async function lensErrorPx(page: Page, plan: ClipPlan): Promise<number> {
  const camera = cameraOf(plan)(0);
  const places: Vec[] = [
    [-4, -0.1, 0],
    [0.3, 0.1, 1.7],
    [3.5, 0, 0.9],
  ];
  const errors: number[] = [];
  for (const place of places) {
    const drawn = await page.evaluate((at) => globalThis.truthPage.through(at), place);
    const said = project(camera, place);
    errors.push(Math.hypot(drawn.x - said.x, drawn.y - said.y));
  }
  return Math.max(...errors);
}

/** One line a frame: a change shows where it is. */
export function truthText(truth: TruthFile): string {
  const text = JSON.stringify({ ...truth, frames: [] }, null, 1).replace(
    /"frames": \[\](?![\s\S]*"frames": \[\])/,
    () => `"frames": [\n${truth.frames.map((f) => JSON.stringify(f)).join(',\n')}\n]`,
  );
  return `${text}\n`;
}

async function makeClip(page: Page, programs: Programs, plan: ClipPlan, stem: string): Promise<void> {
  mkdirSync(stem.replace(/[^/]*$/, ''), { recursive: true });
  const hidden: Record<PointName, boolean>[] = [];
  const lens = await lensErrorPx(page, plan);
  if (lens > 0.02) throw new Error(`The drawing's lens departs from camera.ts by ${lens} px`);
  const ffmpeg = encoder(programs, plan, `${stem}.mp4`);
  const ended = once(ffmpeg, 'close');
  for (let i = 0; i < plan.camera.frames; i++) {
    const drawn = await page.evaluate((index) => globalThis.truthPage.frame(index), i);
    const jpeg = Buffer.from(drawn.jpeg, 'base64');
    if (!ffmpeg.stdin?.write(jpeg)) await once(ffmpeg.stdin as NodeJS.WritableStream, 'drain');
    hidden.push(drawn.hidden);
  }
  ffmpeg.stdin?.end();
  const [code] = (await ended) as [number];
  if (code !== 0) throw new Error(`ffmpeg ended with ${code}`);
  const truth = truthOf(plan, (i) => hidden[i] ?? ({} as Record<PointName, boolean>));
  writeFileSync(`${stem}.truth.json`, truthText(truth));
}
