import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { REASONS } from '../../src/gait/reasons.ts';
import { LIMBS, POINT_NAMES } from '../../src/points.ts';
import type { PhotoResult } from '../../src/headless.ts';
import type { KeypointsFile, ResultFile, SideEntry } from '../../src/report/contract.ts';
import { root } from '../support/programs.ts';
import { sharedPath } from '../support/shared.ts';
import { sideEntries } from '../support/sideEntries.ts';
import { drawnClip, drawnPicture, realClip } from './clips.ts';

interface Ended {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs one of the project's npm scripts as a user does, from the shell: `npm run <script> -- <args>`. */
function npmRun(
  script: string,
  args: readonly string[],
  more: Readonly<Record<string, string>> = {},
): Promise<Ended> {
  // What the npm that runs these tests has set must not reach the one under test.
  const env = Object.fromEntries(Object.entries(process.env).filter(([key]) => !/^npm_/i.test(key)));
  return new Promise((resolve, reject) => {
    const child = spawn('npm', ['run', script, '--', ...args], { cwd: root, env: { ...env, ...more } });
    let stdout = '';
    let stderr = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => (stdout += text));
    child.stderr.setEncoding('utf8').on('data', (text: string) => (stderr += text));
    child.on('error', reject);
    child.on('close', (code) => resolve({ code, stdout, stderr }));
  });
}

const scratch = mkdtempSync(`${tmpdir()}/ledwalk-`);
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** The first run builds the page, where that is still to be done, and says so on stderr. */
let noHorse: Ended;
beforeAll(async () => {
  noHorse = await npmRun('analyse', [drawnClip(), '--withers-cm', '162']);
});

/** The names that other programs rely on. */
const MEASURES = [
  'strideLengthM',
  'strideDurationS',
  'cadencePerMin',
  'speedMps',
  'overtrackM',
  'lateralLagFraction',
  'limbPhaseFraction',
  'dutyFactorFore',
  'dutyFactorHind',
  'headAboveWithersM',
  'headNodM',
  'croupAboveWithersM',
  'froude',
] as const;
/** In metres, or made of metres: they need the height at the withers. */
const NEED_HEIGHT = [
  'strideLengthM',
  'speedMps',
  'overtrackM',
  'headAboveWithersM',
  'headNodM',
  'croupAboveWithersM',
  'froude',
] as const;

/** A value with interval, or a reason; nothing else. */
function expectMeasure(measure: object): void {
  if ('reason' in measure) {
    expect(Object.keys(measure)).toEqual(['reason']);
    expect(Object.keys(REASONS)).toContain(measure.reason);
    return;
  }
  expect(Object.keys(measure).sort()).toEqual(['high', 'low', 'n', 'side', 'value']);
  const { value, low, high, n, side } = measure as Record<string, unknown>;
  for (const number of [value, low, high, n]) expect(Number.isFinite(number)).toBe(true);
  expect(low as number).toBeLessThanOrEqual(value as number);
  expect(high as number).toBeGreaterThanOrEqual(value as number);
  expect(n as number).toBeGreaterThan(0);
  expect(['left', 'right', 'both']).toContain(side);
}

function expectPass(pass: SideEntry): void {
  expect(pass.kind).toBe('side');
  expect(['left', 'right']).toContain(pass.direction);
  expect(pass.endS).toBeGreaterThan(pass.startS);
  expect(Object.keys(pass.measures).sort()).toEqual([...MEASURES].sort());
  const { limbPhaseFraction, ...single } = pass.measures;
  expect(Object.keys(limbPhaseFraction).sort()).toEqual([...LIMBS].sort());
  for (const measure of [...Object.values(single), ...Object.values(limbPhaseFraction)])
    expectMeasure(measure);
}

describe('npm run analyse', () => {
  const clip = realClip('c069');

  it.skipIf(clip === null)(
    'measures a clip: JSON on stdout and nothing else, the same every time',
    async () => {
      const file = `${scratch}/points.json`;
      const args = [`${clip}`, '--withers-cm', '162', '--keypoints', file];
      const first = await npmRun('analyse', args);
      expect(first.code).toBe(0);
      const result = JSON.parse(first.stdout) as ResultFile;
      expect(first.stdout).toBe(`${JSON.stringify(result)}\n`);
      expect(result.schema).toBe('ledwalk/1');
      expect(result.clip).toMatchObject({ name: 'c069.mp4', widthPx: 2208, heightPx: 1242, frames: 62 });
      const sides = sideEntries(result);
      expect(sides.map((p) => p.direction)).toEqual(['left']);
      sides.forEach(expectPass);
      for (const name of NEED_HEIGHT) expect(sides[0]?.measures[name]).toHaveProperty('value');

      const keypoints = JSON.parse(readFileSync(file, 'utf8')) as KeypointsFile;
      expect(keypoints.frames).toHaveLength(62);
      // 15 frames a second, told from the file and not from their number.
      keypoints.frames.forEach(({ timeS }, i) => expect(timeS).toBeCloseTo(i / 15, 4));
      for (const { horse, smoothed } of keypoints.frames) {
        for (const points of [horse?.points ?? {}, smoothed]) {
          for (const [name, point] of Object.entries(points)) {
            expect(POINT_NAMES).toContain(name);
            expect(Object.keys(point).sort()).toEqual(['score', 'x', 'y']);
            expect(Object.values(point).every(Number.isFinite)).toBe(true);
          }
        }
      }
      expect(keypoints.frames.filter(({ horse }) => horse !== null).length).toBeGreaterThan(55);

      const again = await npmRun('analyse', args);
      expect(again.stdout).toBe(first.stdout);
      expect(JSON.parse(readFileSync(file, 'utf8'))).toEqual(keypoints);
    },
  );

  it.skipIf(clip === null)('does without a height: times stay, lengths give the reason', async () => {
    const { code, stdout } = await npmRun('analyse', [`${realClip('c066')}`]);
    expect(code).toBe(0);
    const result = JSON.parse(stdout) as ResultFile;
    const passes = sideEntries(result);
    expect(result.clip.withersM).toBeNull();
    expect(passes.length).toBeGreaterThan(0);
    for (const pass of passes) {
      expectPass(pass);
      for (const name of NEED_HEIGHT) expect(pass.measures[name]).toEqual({ reason: 'withersHeightMissing' });
      expect(pass.measures.strideDurationS).toHaveProperty('value');
      expect(pass.inWithersHeights.strideLengthH).toHaveProperty('value');
    }
  });

  it('gives no pass and a reason where there is no horse', () => {
    const { code, stdout, stderr } = noHorse;
    expect(code).toBe(0);
    expect(stderr).toContain('No horse was found');
    expect(JSON.parse(stdout)).toMatchObject({
      schema: 'ledwalk/1',
      clip: { name: 'pattern.mp4', frames: 15, withersM: 1.62 },
      passes: [],
      reason: 'noHorse',
    });
  });

  it('names a file that can not be written', async () => {
    const args = [drawnClip(), '--keypoints', `${scratch}/absent/points.json`];
    const { code, stdout, stderr } = await npmRun('analyse', args);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr.trim()).toBe(`${scratch}/absent/points.json can't be written`);
  });

  it('says how it is used', async () => {
    const { code, stdout } = await npmRun('analyse', ['--help']);
    expect(code).toBe(0);
    expect(stdout).toContain('usage');
  });

  it('names a file that is not there', async () => {
    const { code, stdout, stderr } = await npmRun('analyse', [`${scratch}/absent.mp4`]);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toContain(`${scratch}/absent.mp4`);
    expect(stderr).toContain('no such file');
  });

  it.each([
    ['text.mp4', 'This is not a video. '.repeat(200), 'is not a video'],
    ['empty.mp4', '', 'is empty'],
  ])('names %s and what is wrong with it', async (name, content, cause) => {
    writeFileSync(`${scratch}/${name}`, content);
    const { code, stdout, stderr } = await npmRun('analyse', [`${scratch}/${name}`]);
    expect([code, stdout]).toEqual([1, '']);
    expect(stderr).toContain(name);
    expect(stderr).toContain(cause);
    // A sentence for the user, not a stack of calls.
    expect(stderr.trim().split('\n')).toHaveLength(1);
  });

  it.each([
    [['--withers-cm', 'tall'], 'tall'],
    [['--withers-cm', '16.2'], '16.2'],
    [['--withers-cm', '-162'], '--withers-cm'],
    [['--withers-cm'], '--withers-cm'],
    [['--height', '162'], '--height'],
    [['--ground-distance', '100,600,900,600'], '--ground-distance'],
    [['second.mp4'], 'one clip'],
  ])('refuses %j and says how it is used', async (args, named) => {
    const { code, stdout, stderr } = await npmRun('analyse', [drawnClip(), ...args]);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toContain(named);
    expect(stderr).toContain('usage');
  });
});

describe('npm run keypoints', () => {
  const photo = sharedPath('horse-data/silhouettes/rgb/horse010.jpg');
  const text = `${scratch}/text.jpg`;
  const files = [...(photo ? [photo] : []), text, drawnPicture()];
  let ended: Ended;
  let rows: PhotoResult[];
  beforeAll(async () => {
    writeFileSync(text, 'This is not a picture.');
    ended = await npmRun('keypoints', files);
    rows = JSON.parse(ended.stdout) as PhotoResult[];
  });

  it('finds the horse of one picture and none in another', () => {
    expect(ended.code).toBe(0);
    expect(rows.map((row) => row.file)).toEqual(files);
    expect(rows.at(-1)).toEqual({ file: files.at(-1), horses: [] });
    if (photo === null) return;
    const [horse, ...others] = rows[0]?.horses ?? [];
    expect(others).toEqual([]);
    expect(Object.keys(horse ?? {}).sort()).toEqual(['box', 'points', 'view']);
    expect(horse?.view).toBe('left');
    const [x0 = NaN, y0 = NaN, x1 = NaN, y1 = NaN] = horse?.box ?? [];
    for (const [name, point] of Object.entries(horse?.points ?? {})) {
      expect(POINT_NAMES).toContain(name);
      expect(Object.keys(point).sort()).toEqual(['score', 'x', 'y']);
      expect(point.score).toBeGreaterThan(0);
      expect(point.score).toBeLessThanOrEqual(1);
      if (point.score < 0.5) continue;
      expect(point.x >= x0 && point.x <= x1 && point.y >= y0 && point.y <= y1).toBe(true);
    }
    expect(Object.keys(horse?.points ?? {}).length).toBeGreaterThan(12);
  });

  it('names a picture that can not be read, and goes on with the others', async () => {
    expect(ended.code).toBe(0);
    expect(ended.stderr).toContain('text.jpg is not a picture');
    const others = rows.filter(({ file }) => file !== photo);
    expect(others.map((row) => [row.file, row.horses])).toEqual([
      [text, []],
      [files.at(-1), []],
    ]);
    const alone = await npmRun('keypoints', [text]);
    expect(alone.code).toBe(1);
  });

  it('ends, and says why, where Chromium can not be started', async () => {
    const CHROMIUM = `${scratch}/no-chromium`;
    const { code, stdout, stderr } = await npmRun('keypoints', [drawnPicture()], { CHROMIUM });
    expect([code, stdout]).toEqual([1, '']);
    expect(stderr).toContain('no-chromium');
  });

  it('names a picture that is not there', async () => {
    const { code, stdout, stderr } = await npmRun('keypoints', [drawnPicture(), `${scratch}/absent.jpg`]);
    expect([code, stdout]).toEqual([2, '']);
    expect(stderr).toContain('absent.jpg');
    expect(existsSync(`${scratch}/absent.jpg`)).toBe(false);
  });
});
