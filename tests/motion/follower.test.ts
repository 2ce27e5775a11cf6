import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Box } from '../../src/clip/types.ts';
import { GroundFollower } from '../../src/motion/follower.ts';
import type { Cv } from '../../src/motion/opencv.ts';
import { applySimilarity, compose, IDENTITY, invert, seededRandom } from '../../src/track/similarity.ts';
import type { MotionStep, Similarity } from '../../src/track/types.ts';
import { grayFrames, nodeOpencv } from './frames.ts';
import { drawGround, paste, photograph } from './ground.ts';
import { realClipPath, realClips, realFrames } from '../track/real.ts';

let cv: Cv;
let follower: GroundFollower;
beforeAll(async () => {
  ({ cv } = await nodeOpencv());
});
afterAll(() => follower.free());

const [W, H] = [640, 360];
/** The full picture is three times as large as what is looked at. */
const FULL = 3;

interface Run {
  readonly steps: MotionStep[];
  /** Composed motion at each frame: px of that frame to px of the first. */
  readonly toStill: Similarity[];
}

/** Camera paths in px of the drawn ground; the masked box crosses the picture. */
function drawn(camera: (i: number) => Similarity, frames: number, masked: boolean): Run {
  const ground = drawGround(3);
  const random = seededRandom(5);
  follower = new GroundFollower(cv);
  const toStill: Similarity[] = [];
  const steps = Array.from({ length: frames }, (_, i) => {
    const left = -150 + (i * 640) / frames;
    const box: Box = [left, 60, left + 240, 290];
    const gray = paste(photograph(ground, camera(i), W, H, 2, random), ...box);
    const full = box.map((v) => (v + 0.5) * FULL - 0.5) as unknown as Box;
    const step = follower.step({
      gray,
      timeS: i / 30,
      pictureWidthPx: W * FULL,
      pictureHeightPx: H * FULL,
      masks: masked ? [full] : [],
    });
    toStill.push(compose(toStill.at(-1) ?? IDENTITY, step.toPrevious));
    return step;
  });
  return { steps, toStill };
}

/** The same as a map of the full picture's px, pixel centres at whole numbers. */
function inFull(t: Similarity): Similarity {
  const toSmall: Similarity = { a: 1 / FULL, b: 0, tx: 0.5 / FULL - 0.5, ty: 0.5 / FULL - 0.5 };
  return compose(invert(toSmall), compose(t, toSmall));
}

/** Error of the composed motion on the ground in mid-picture, px of the full picture. */
function errors(run: Run, camera: (i: number) => Similarity): number[] {
  return run.toStill.map((t, i) => {
    const truth = inFull(compose(invert(camera(0)), camera(i)));
    const p = { x: (W * FULL) / 2, y: 0.8 * H * FULL };
    const [q, r] = [applySimilarity(t, p), applySimilarity(truth, p)];
    return Math.hypot(q.x - r.x, q.y - r.y);
  });
}

const place = (x: number, y: number, turn = 0, scale = 1): Similarity => ({
  a: scale * Math.cos(turn),
  b: scale * Math.sin(turn),
  tx: x,
  ty: y,
});

describe('a drawn ground', () => {
  it('that stands still under sensor noise moves by nothing at all', () => {
    const { steps } = drawn(() => place(300, 200), 40, true);
    for (const { toPrevious, ok } of steps) {
      expect(ok).toBe(true);
      expect(toPrevious).toEqual(IDENTITY);
    }
  });

  it('is followed through a pan with a shaking, turning hand: within 1 px of 1920 after 90 frames', () => {
    const camera = (i: number): Similarity =>
      place(
        60 + 6 * i + 5 * Math.sin(1.3 * i),
        200 + 4 * Math.sin(0.9 * i),
        0.008 * Math.sin(0.4 * i),
        1 + 0.01 * Math.sin(0.1 * i),
      );
    const run = drawn(camera, 90, true);
    const off = errors(run, camera);
    expect(run.steps.every(({ ok }) => ok)).toBe(true);
    expect(Math.max(...off)).toBeLessThan(1);
    expect(off.reduce((a, b) => a + b, 0) / off.length).toBeLessThan(0.5);
  });

  it('seen again by a camera that swings to and fro is where it was: errors do not add up', () => {
    const ground = drawGround(3);
    const random = seededRandom(5);
    const camera = (i: number): Similarity => place(450 + 200 * Math.sin(0.1 * i), 200 + 3 * Math.sin(i));
    follower = new GroundFollower(cv);
    let still = IDENTITY;
    const off = Array.from({ length: 190 }, (_, i) => {
      const gray = photograph(ground, camera(i), 400, 225, 3, random);
      const size = { pictureWidthPx: 400, pictureHeightPx: 225 };
      still = compose(still, follower.step({ gray, timeS: i / 30, ...size, masks: [] }).toPrevious);
      const p = { x: 200, y: 180 };
      const truth = applySimilarity(compose(invert(camera(0)), camera(i)), p);
      const found = applySimilarity(still, p);
      return Math.hypot(found.x - truth.x, found.y - truth.y);
    });
    expect(Math.max(...off.slice(126))).toBeLessThan(0.1);
  });

  it('gives SDs of the size of the errors, and counts what it followed', () => {
    const camera = (i: number): Similarity => place(300 + 3 * i, 200);
    const { steps } = drawn(camera, 20, true);
    for (const step of steps.slice(1)) {
      expect(step.sdPx).toBeGreaterThan(0);
      expect(step.sdPx).toBeLessThan(0.5);
      expect(step.inliers).toBeLessThanOrEqual(step.features);
      expect(step.inliers).toBeGreaterThan(30);
    }
  });

  it('says so where nothing can be followed, and goes on afterwards', () => {
    follower = new GroundFollower(cv);
    const grey = { widthPx: W, heightPx: H, data: new Uint8Array(W * H).fill(90) };
    const input = { gray: grey, timeS: 0, pictureWidthPx: W, pictureHeightPx: H, masks: [] };
    follower.step(input);
    const lost = follower.step(input);
    expect(lost).toMatchObject({ ok: false, toPrevious: IDENTITY, inliers: 0 });
    expect(lost).not.toHaveProperty('sdPx');
    const ground = drawGround(3);
    const seen = (x: number) => photograph(ground, place(x, 200), W, H, 1, seededRandom(2));
    follower.step({ ...input, gray: seen(100) });
    const step = follower.step({ ...input, gray: seen(104) });
    expect(step.ok).toBe(true);
    expect(step.toPrevious.tx).toBeCloseTo(4, 1);
  });
});

describe.skipIf(realClips.length === 0)('a real clip (skipped where ../shared/real-clips is absent)', () => {
  const clip = 'c066';
  /** Box round horse and rider from the clip's own points. */
  const boxes = realClips.includes(clip)
    ? realFrames(clip).map(({ horse }): Box => {
        const [x0, y0, x1, y1] = horse?.box ?? [0, 0, 0, 0];
        const w = x1 - x0;
        return [x0 - 0.05 * w, y0 - 0.25 * w, x1 + 0.2 * w, y1 + 0.03 * w];
      })
    : [];

  function follow(
    filter: string,
    width: number,
    height: number,
    offset: (t: number) => { x: number; y: number },
  ): number[] {
    const frames = grayFrames(['-i', realClipPath(clip)], `${filter}scale=640:360:flags=area`, 640, 360);
    follower = new GroundFollower(cv);
    let still = IDENTITY;
    const start = offset(0);
    return frames.map((gray, i) => {
      const { x, y } = offset(i / 15);
      const [x0, y0, x1, y1] = boxes[i] ?? [0, 0, 0, 0];
      const masks: Box[] = [[x0 - x, y0 - y, x1 - x, y1 - y]];
      const step = follower.step({
        gray,
        timeS: i / 15,
        pictureWidthPx: width,
        pictureHeightPx: height,
        masks,
      });
      still = compose(still, step.toPrevious);
      const p = applySimilarity(still, { x: width / 2, y: 0.9 * height });
      return Math.hypot(p.x - (width / 2 + x - start.x), p.y - (0.9 * height + y - start.y));
    });
  }

  it('from a still camera does not move', () => {
    const off = follow('', 2208, 1242, () => ({ x: 0, y: 0 }));
    expect(off.length).toBeGreaterThan(45);
    expect(Math.max(...off)).toBeLessThan(0.7);
  });

  it('panned and shaken by a moving crop is followed within 2 px of 1656 over three seconds', () => {
    // ffmpeg rounds the place of a crop to whole px.
    const off = follow(
      "format=gray,crop=1656:932:x='276+180*sin(1.1*t)+12*sin(13*t)':y='155+14*sin(9*t+1)':exact=1,",
      1656,
      932,
      (t) => ({
        x: Math.round(276 + 180 * Math.sin(1.1 * t) + 12 * Math.sin(13 * t)),
        y: Math.round(155 + 14 * Math.sin(9 * t + 1)),
      }),
    );
    expect(off.length).toBeGreaterThan(45);
    expect(Math.max(...off)).toBeLessThan(2);
    expect(off.reduce((a, b) => a + b, 0) / off.length).toBeLessThan(0.8);
  });
});
