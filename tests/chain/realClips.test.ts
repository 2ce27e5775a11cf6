/**
 * The whole chain on real clips, and on the same clips changed in ways that must not change what is measured. Skipped,
 * with a line that says so, where the clips are not at hand.
 *
 * The clips have 15 frames a second and two or three strides each: one frame is 5 % of a stride.
 */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { measuredPasses } from '../../src/advice/coaching.ts';
import { takeCheck, type Finding } from '../../src/advice/takeCheck.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import { measure, type Observed } from '../../src/pipeline.ts';
import type { ResultFile } from '../../src/report/contract.ts';
import { sideEntries } from '../support/sideEntries.ts';
import { startChain, type Chain } from './chain.ts';
import { changed, OUT_OF_FOCUS_PX, PANS, realClip, type Change } from './clips.ts';
import { beyond, differences, shown, type Bar, type Difference, type Pass } from './comparing.ts';
import { compareWithOwnPoints } from './realTable.ts';

const WITHERS_M = 1.62;
/** When the left fore lands. */
const LANDING = ['lateralLagFraction', 'phase LF'];
/** Those with strides enough to say something. */
const LONG = Object.keys(PANS);
const ALL = ['c063', 'c064', 'c065', 'c066', 'c067', 'c068', 'c069', 'c070'];
const there = realClip('c063') !== null;

interface Run {
  readonly result: ResultFile;
  readonly seen: Observed;
}

let chain: Chain;
const runs = new Map<string, Promise<Run>>();

function run(path: string | null): Promise<Run> {
  if (path === null) throw new Error('the real clips are not at hand');
  const before = runs.get(path);
  if (before) return before;
  const now = chain.runSeen(path, WITHERS_M);
  runs.set(path, now);
  return now;
}

async function passOf(path: string | null): Promise<Pass> {
  const passes = sideEntries((await run(path)).result);
  const [pass] = passes;
  expect(passes).toHaveLength(1);
  if (!pass) throw new Error(`no pass in ${path}`);
  return pass;
}

describe.skipIf(!there)('a real clip', () => {
  beforeAll(async () => {
    chain = await startChain();
  });
  afterAll(() => chain.close());

  /** Within 1 %: of the value, of the stride, and a quarter of a hundredth of the height for small differences. */
  const MIRROR: Bar = { share: 0.01, stride: 0.01, H: 0.0025 };
  it.each(LONG)(
    '%s in the mirror: all values within 1 per cent, direction and near side turned',
    async (name) => {
      const [original, mirrored] = [await passOf(realClip(name)), await passOf(changed(name, 'mirrored'))];
      const found = differences(original, mirrored, WITHERS_M, { mirrored: true });
      console.log(`${name} mirrored: ${shown(found)}`);
      expect(beyond(found, MIRROR)).toEqual([]);
      expect([original.direction, mirrored.direction]).toEqual(['left', 'right']);
      expect(original.measures.lateralLagFraction).toMatchObject({ side: 'left' });
      expect(mirrored.measures.lateralLagFraction).toMatchObject({ side: 'right' });
    },
  );

  /** 3 % of the value or of the stride. 3 % of the height would be 5 cm of overtrack or nod: 1 % of it is asked. */
  const USUAL: Bar = { share: 0.03, stride: 0.03, H: 0.01 };
  // Speed, picture size and coding change least: a clip or two each will do.
  const same: [string, Change][] = [
    ['c066', 'half speed'],
    ['c070', 'half speed'],
    ['c069', '720p'],
    ['c070', 'low quality'],
    ['c063', 'pictures twice'],
  ];
  it.each(same)('%s %s: all values within 3 per cent', async (name, change) => {
    const [original, other] = [await passOf(realClip(name)), await passOf(changed(name, change))];
    const halfSpeed = change === 'half speed' || change === 'pictures twice';
    const found = differences(original, other, WITHERS_M, { halfSpeed });
    console.log(`${name} ${change}: ${shown(found)}`);
    expect(beyond(found, USUAL)).toEqual([]);
    expect(other.direction).toBe(original.direction);
  });

  /** The changed clip's intervals hold the values of the original. */
  const expectHeld = (
    original: Pass,
    other: Pass,
    names: readonly ('strideLengthM' | 'speedMps' | 'overtrackM' | 'lateralLagFraction')[],
  ): void => {
    for (const name of names) {
      const [a, b] = [original.measures[name], other.measures[name]];
      if (!('value' in a) || !('value' in b)) throw new Error(`${name} was not measured`);
      expect(b.low <= a.value && a.value <= b.high, name).toBe(true);
    }
  };
  const pannedOf = async (name: string): Promise<Difference[]> => {
    const [original, panned] = [await passOf(realClip(name)), await passOf(changed(name, 'panned'))];
    const found = differences(original, panned, WITHERS_M);
    console.log(`${name} panned: ${shown(found)}`);
    return beyond(found, USUAL);
  };
  it.each(['c063', 'c069', 'c070'])(
    '%s through a panned and shaken window: all values within 3 per cent',
    async (name) => expect(await pannedOf(name)).toEqual([]),
  );
  /**
   * c066 walks away at 33 degrees. How much longer its path is than it looks depends on the focal length as a share
   * of the picture's width, which a narrower window changes and no file tells: cos 33 / cos 27 = .94. Everything else
   * keeps to the bar; lengths do where the focal length is told, and their intervals hold the original's values.
   */
  it('c066 through such a window: lengths are off by the angle, and within their intervals', async () => {
    const original = await passOf(realClip('c066'));
    const { seen, result } = await run(changed('c066', 'panned'));
    const [panned] = sideEntries(result);
    if (!panned) throw new Error('no pass');
    const found = differences(original, panned, WITHERS_M);
    console.log(`c066 panned: ${shown(found)}`);
    const off = beyond(found, USUAL).map((d) => d.measure);
    for (const name of off) expect(['strideLengthM', 'speedMps', 'froude', ...LANDING]).toContain(name);
    expect(panned.warnings).toContain('oblique');
    expectHeld(original, panned, ['strideLengthM', 'speedMps', 'overtrackM', 'lateralLagFraction']);
    const { track } = measure(seen, [], WITHERS_M);
    const focalShare = (0.75 * 2208) / seen.clip.widthPx;
    const told = analyseTrack(track, { withersM: WITHERS_M, focalShare })[0];
    const first = measure((await run(realClip('c066'))).seen, [], WITHERS_M).passes[0];
    expect(told?.obliquityDeg).toBeCloseTo(first?.obliquityDeg ?? NaN, -0.3);
  });

  // Missed: 3.3 % with version 3 of the network, kept with version 2; a frame is 5 % of a stride. The bar stays.
  it.fails('c066 through such a window: the left fore lands within 3 per cent of the stride', async () => {
    const off = await pannedOf('c066');
    expect(off.filter(({ measure: name }) => LANDING.includes(name))).toEqual([]);
  });

  it.each(['c067'])('%s as AVI gives what it gives as MP4', async (name) => {
    const [mp4, avi] = [await run(realClip(name)), await run(realClip(name, 'avi'))];
    expect([mp4.result.clip.decoder, avi.result.clip.decoder]).toEqual(['webcodecs', 'ffmpeg']);
    expect(avi.result.clip.frames).toBe(mp4.result.clip.frames);
    const found = differences(await passOf(realClip(name)), await passOf(realClip(name, 'avi')), WITHERS_M);
    console.log(`${name} AVI: ${shown(found)}`);
    // Another coding of the same pictures.
    expect(beyond(found, { share: 0.01, stride: 0.01, H: 0.0025 })).toEqual([]);
  });

  const blurOf = ({ seen }: Run): Finding | undefined => {
    const { track, course } = measure(seen, [], WITHERS_M);
    const findings = takeCheck(track, measuredPasses(course), { withersM: WITHERS_M });
    return findings.find(({ cause }) => cause === 'blurred');
  };
  it.each(ALL)('%s is not said to be blurred', async (name) => {
    expect(blurOf(await run(realClip(name)))).toBeUndefined();
  });
  it('c069 out of focus is, with its blur to 20 per cent, and its intervals hold what it was', async () => {
    const path = changed('c069', 'out of focus');
    const found = blurOf(await run(path));
    console.log(`c069 blurred by ${OUT_OF_FOCUS_PX}: ${JSON.stringify(found)}`);
    expect(Math.abs((found?.size?.value ?? NaN) / OUT_OF_FOCUS_PX - 1)).toBeLessThan(0.2);
    expect(found?.costs.find(({ of }) => of === 'strideLength')?.narrowerM).toBeGreaterThan(0.002);
    const [original, blurred] = [await passOf(realClip('c069')), await passOf(path)];
    console.log(`c069 out of focus: ${shown(differences(original, blurred, WITHERS_M))}`);
    expectHeld(original, blurred, ['strideLengthM', 'speedMps', 'overtrackM', 'lateralLagFraction']);
  });

  it('gives the same to the last digit when it is read again', async () => {
    const first = await run(realClip('c067'));
    const again = await chain.runSeen(`${realClip('c067')}`, WITHERS_M);
    expect(JSON.stringify(again.result)).toBe(JSON.stringify(first.result));
    expect(JSON.stringify(again.seen)).toBe(JSON.stringify(first.seen));
  });

  it('measures about what the points that come with the clips give', async () => {
    const table = [];
    for (const name of ALL) table.push(...compareWithOwnPoints(name, (await run(realClip(name))).seen));
    console.log(table.map((row) => row.text).join('\n'));
    for (const row of table) {
      if (row.by === null) continue;
      const where = `${row.clip} ${row.measure}`;
      // Both are within the other's 95 % interval, or nearly so: two networks, two definitions of the hoof.
      expect(row.overlap, where).toBe(true);
      // A difference that was not looked at and explained must be.
      if (row.apart) expect(row.reason, where).not.toBe('');
    }
    expect(table.filter((row) => row.by !== null).length).toBeGreaterThan(30);
  });
});
