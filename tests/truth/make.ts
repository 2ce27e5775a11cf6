/** Draws clips in a headless Chromium and encodes them with ffmpeg. Run by render.mjs. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, writeFileSync } from 'node:fs';
import type { Browser, Page } from 'playwright-core';
import { createServer } from 'vite';
import type { PointName } from '../../src/points.ts';
import { cameraOf, project } from './camera.ts';
import type { Vec } from './curves.ts';
import type { ClipPlan } from './plans.ts';
import { truthOf } from './truth.ts';
import type {} from './page.ts';

export interface Programs {
  readonly root: string;
  readonly browser: () => Promise<Browser>;
  readonly ffmpeg: string;
}

async function withPage<T>(programs: Programs, plan: ClipPlan, work: (page: Page) => Promise<T>): Promise<T> {
  const server = await createServer({
    root: programs.root,
    configFile: false,
    cacheDir: `${programs.root}/node_modules/.vite-truth`,
    logLevel: 'error',
    server: { port: 5200 + Math.floor(Math.random() * 4000), strictPort: false, hmr: false, watch: null },
    optimizeDeps: { include: ['three'], noDiscovery: true },
  });
  await server.listen();
  const browser = await programs.browser();
  try {
    const page = await browser.newPage();
    page.on('pageerror', (error) => process.stderr.write(`${error.stack ?? error.message}\n`));
    await page.goto(new URL('tests/truth/page.html', server.resolvedUrls?.local[0]).href);
    await page.waitForFunction(() => 'truthPage' in globalThis);
    await page.evaluate((given) => globalThis.truthPage.start(given), plan);
    return await work(page);
  } finally {
    await browser.close();
    await server.close();
  }
}

const pictureOf = async (page: Page, index: number): Promise<Buffer> =>
  Buffer.from(await page.evaluate((i) => globalThis.truthPage.picture(i), index), 'base64');

/** A few pictures of a clip as JPEG files, to look at. */
export async function drawPictures(
  programs: Programs,
  plan: ClipPlan,
  indices: readonly number[],
  stem: string,
): Promise<void> {
  await withPage(programs, plan, async (page) => {
    for (const index of indices) {
      const startedMs = performance.now();
      writeFileSync(`${stem}-${index}.jpg`, await pictureOf(page, index));
      process.stderr.write(`picture ${index}: ${Math.round(performance.now() - startedMs)} ms\n`);
    }
  });
}

function encoder(programs: Programs, plan: ClipPlan, file: string): ReturnType<typeof spawn> {
  const { fps } = plan.camera;
  // A phone's sensor noise, the same in every run.
  const noise = `noise=all_seed=${plan.walk.seed}:all_strength=4:all_flags=t`;
  return spawn(
    programs.ffmpeg,
    ['-y', '-v', 'error', '-f', 'image2pipe', '-c:v', 'mjpeg', '-framerate', String(fps), '-i', '-'].concat(
      ['-vf', `${noise},scale=out_range=tv:out_color_matrix=bt709,format=yuv420p`],
      ['-colorspace', 'bt709', '-color_primaries', 'bt709', '-color_trc', 'bt709', '-color_range', 'tv'],
      ['-c:v', 'libx264', '-preset', 'slow', '-b:v', '3000k', '-maxrate', '4500k', '-bufsize', '6000k'],
      ['-g', String(fps), '-threads', '1', '-fflags', '+bitexact', '-flags:v', '+bitexact'],
      ['-map_metadata', '-1', '-movflags', '+faststart', file],
    ),
    { stdio: ['pipe', 'inherit', 'inherit'] },
  );
}

/** The largest difference between where the drawing and camera.ts see a few places, px. */
async function lensErrorPx(page: Page, plan: ClipPlan): Promise<number> {
  const camera = cameraOf(plan.camera);
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

/** Draws the clip to `stem`.mp4 and its truth to `stem`.truth.json. */
export async function makeClip(programs: Programs, plan: ClipPlan, stem: string): Promise<void> {
  mkdirSync(stem.replace(/[^/]*$/, ''), { recursive: true });
  const hidden: Record<PointName, boolean>[] = [];
  await withPage(programs, plan, async (page) => {
    const lens = await lensErrorPx(page, plan);
    if (lens > 0.02) throw new Error(`The drawing's lens departs from camera.ts by ${lens} px`);
    const ffmpeg = encoder(programs, plan, `${stem}.mp4`);
    const ended = once(ffmpeg, 'close');
    for (let i = 0; i < plan.camera.frames; i++) {
      const jpeg = await pictureOf(page, i);
      if (!ffmpeg.stdin?.write(jpeg)) await once(ffmpeg.stdin as NodeJS.WritableStream, 'drain');
      hidden.push(await page.evaluate((index) => globalThis.truthPage.hidden(index), i));
      if (i % 60 === 59) process.stderr.write(`${i + 1} of ${plan.camera.frames} pictures\n`);
    }
    ffmpeg.stdin?.end();
    const [code] = (await ended) as [number];
    if (code !== 0) throw new Error(`ffmpeg ended with ${code}`);
  });
  const truth = truthOf(plan, (i) => hidden[i] ?? ({} as Record<PointName, boolean>));
  // One line a frame: a change shows where it is.
  const text = JSON.stringify({ ...truth, frames: [] }, null, 1).replace(
    /"frames": \[\]/,
    () => `"frames": [\n${truth.frames.map((f) => JSON.stringify(f)).join(',\n')}\n]`,
  );
  writeFileSync(`${stem}.truth.json`, `${text}\n`);
}
