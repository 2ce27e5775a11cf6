/**
 * The networks on WebGL and WebGPU, drawn by software (SwiftShader): the same points as with wasm, not the speed. And
 * a graphics context that is lost in the middle of a clip.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { StartOptions } from '../../src/pose/service.ts';
import type { BackendName } from '../../src/pose/tensors.ts';
import { giveFiles, startApp, type App } from '../support/browser.ts';
import { ffmpegPath, root } from '../support/programs.ts';
import type { Points } from './backendsPage.ts';

const SOFTWARE = [
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--enable-unsafe-webgpu',
  '--use-webgpu-adapter=swiftshader',
];
const size = { widthPx: 640, heightPx: 360 };
const fps = 15;
const FRAMES = 6;

/** A horse and its handler, from a sample clip. */
function rawFrames(): string {
  const folder = `${root}/tests/.cache/pose`;
  mkdirSync(folder, { recursive: true });
  const to = `${folder}/backends.yuv`;
  const from = ['-ss', '2', '-i', `${root}/sample-clips/side-pass-hurried.mp4`];
  const filter = ['-vf', `fps=${fps},scale=${size.widthPx}:${size.heightPx}:flags=area`];
  const output = ['-frames:v', `${FRAMES}`, '-pix_fmt', 'yuv420p', '-f', 'rawvideo', to];
  execFileSync(ffmpegPath(), ['-v', 'error', '-y', ...from, ...filter, ...output]);
  return to;
}

type Helpers = typeof import('./backendsPage.ts');
type Followed = Awaited<ReturnType<Helpers['follow']>>;
type Looked = Awaited<ReturnType<Helpers['look']>>;

let app: App;
let file: string;
/** The clip on wasm. */
let wasm: Followed;
/** Drawn pictures on wasm. */
let drawnOnWasm: Looked;
const SEEDS = [0, 1];
let hasWebgpu: boolean;

const follow = (page: Page, backend?: BackendName, loseAt?: number): Promise<Followed> =>
  page.evaluate(
    async ({ options, clip, loseAt }) => {
      const helpers = (await load('/tests/pose/backendsPage.ts')) as Helpers;
      return helpers.follow(options, { ...clip, file: fileNamed('backends.yuv') }, loseAt);
    },
    {
      options: { baseUrl: app.url, ...(backend ? { backend } : {}) } satisfies StartOptions,
      clip: { size, fps, frames: FRAMES },
      loseAt,
    },
  );

const look = (page: Page, backend: BackendName, seeds: readonly number[]): Promise<Looked> =>
  page.evaluate(
    async ({ backend, url, seeds }) => {
      const helpers = (await load('/tests/pose/backendsPage.ts')) as Helpers;
      return helpers.look(backend, url, seeds);
    },
    { backend, url: app.url, seeds },
  );

async function newPage(): Promise<Page> {
  const page = await app.blank();
  await giveFiles(page, [file]);
  return page;
}

beforeAll(async () => {
  app = await startApp({ args: SOFTWARE });
  file = rawFrames();
  const page = await newPage();
  drawnOnWasm = await look(page, 'wasm', SEEDS);
  wasm = await follow(page);
  hasWebgpu = await page.evaluate(async () => {
    const { gpu } = navigator as { gpu?: { requestAdapter(): Promise<unknown> } };
    return Boolean(await gpu?.requestAdapter());
  });
  await page.close();
});
afterAll(() => app.close());

/** How far each point of one is from the same in the other, px. */
function apart(one: Points | undefined, other: Points | undefined): number[] {
  const names = Object.keys({ ...one, ...other }) as (keyof Points)[];
  return names.map((name) => {
    const [a, b] = [one?.[name], other?.[name]];
    return a && b ? Math.hypot(a.x - b.x, a.y - b.y) : Infinity;
  });
}

function expectSame(what: string, ones: readonly (Points | undefined)[], others: typeof ones): void {
  expect(others).toHaveLength(ones.length);
  const all = ones.flatMap((one, i) => apart(one, others[i]));
  console.log(`${what}: ${all.length} points, at most ${Math.max(...all).toFixed(5)} px apart`);
  expect(all.length).toBeGreaterThan(15 * ones.length); // else little is compared
  expect(Math.max(...all)).toBeLessThan(0.1);
}

const clipPoints = ({ frames, ahead }: Followed) => [
  ...frames.map(({ horse }) => horse?.points),
  ahead ?? {},
];

function expectAllFrames(followed: Followed): void {
  expect(followed.frames.map(({ timeS }) => timeS)).toEqual(wasm.frames.map(({ timeS }) => timeS));
  expect(followed.frames.map(({ identity }) => identity)).toEqual(wasm.frames.map(() => 1));
  for (const [i, { handlerFeet, people }] of followed.frames.entries()) {
    expect(people).toHaveLength(wasm.frames[i]?.people.length ?? 0);
    expect(handlerFeet).toHaveLength(wasm.frames[i]?.handlerFeet.length ?? 0);
  }
}

/** The same number of tensors after every run, none in the end. */
function expectNoLeak({ tensors, left }: { tensors: readonly number[]; left: number }): void {
  expect(new Set(tensors).size).toBe(1);
  expect(left).toBe(0);
}

it('software that draws is no graphics card: wasm is taken, warmed up', () => {
  expect(wasm.started).toMatchObject({ backend: 'wasm', failed: null, refused: [] });
  expect(wasm.startShowed).toHaveLength(1);
  expect(wasm.frames.every(({ horse, handlerFeet }) => horse && handlerFeet.length > 0)).toBe(true);
  expectNoLeak(wasm);
  expectNoLeak(drawnOnWasm);
});

it('WebGL, where WebGPU fails, sees the same as wasm, also once it is lost', async () => {
  const page = await newPage();
  const looked = await look(page, 'webgl', SEEDS);
  expectSame('WebGL, drawn', drawnOnWasm.points, looked.points);
  expectNoLeak(looked);

  await page.evaluate(async () => {
    const helpers = (await load('/tests/pose/backendsPage.ts')) as Helpers;
    helpers.pretendGraphicsCard();
    helpers.breakWebgpu();
  });
  const LOST_AT = 2;
  const followed = await follow(page, undefined, LOST_AT);
  await page.close();
  const { started, ranOn, tensors, left } = followed;
  expect(started.backend).toBe('webgl');
  expect(started.refused).toEqual(hasWebgpu ? [{ backend: 'webgpu', why: 'not started' }] : []);
  expect(ranOn).toMatchObject({ backend: 'wasm', failed: 'webgl' });
  expectSame('WebGL, then wasm', clipPoints(wasm), clipPoints(followed));
  expectAllFrames(followed);
  // The person finder is loaded anew when it is next needed.
  expect(tensors.slice(0, LOST_AT)).toEqual(wasm.tensors.slice(0, LOST_AT));
  expect(Math.max(...tensors)).toBe(Math.max(...wasm.tensors));
  expect(left).toBe(0);
});

it('WebGPU sees the same as wasm, also once its device is lost', async ({ skip }) => {
  if (!hasWebgpu) skip('this Chromium has no WebGPU adapter, not even one drawn by software');
  const page = await newPage();
  // Seconds to a picture: the drawn one of the start must do, and the first of the clip is the one that is lost.
  const followed = await follow(page, 'webgpu', 0);
  await page.close();
  expect(followed.started).toMatchObject({ backend: 'webgpu', failed: null, refused: [] });
  expect(followed.startShowed).toHaveLength(1);
  expectSame('WebGPU, drawn', wasm.startShowed, followed.startShowed);
  expect(followed.ranOn).toMatchObject({ backend: 'wasm', failed: 'webgpu' });
  expectSame('WebGPU, then wasm', clipPoints(wasm), clipPoints(followed));
  expectAllFrames(followed);
  expectNoLeak(followed);
});
