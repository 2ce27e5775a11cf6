import { beforeAll, describe, expect, it } from 'vitest';
import { analyseTrack, type Measure } from '../../src/gait/index.ts';
import { GroundFollower } from '../../src/motion/follower.ts';
import type { Cv } from '../../src/motion/opencv.ts';
import { buildTrack } from '../../src/track/build.ts';
import { nodeOpencv } from './frames.ts';
import { film, type Filming } from './scene.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await nodeOpencv());
});

const PICTURE = { widthPx: 1920, heightPx: 1080 };
const USUAL: Filming = {
  focal: 0.75,
  direction: 'left',
  distanceM: 9,
  fps: 30,
  follows: 1,
  tiltDeg: 0,
  cameraHeightM: 1.3,
};

function measured(how: Filming) {
  const { walk, frames, turnDeg, picture } = film(how);
  const follower = new GroundFollower(cv);
  const motion = frames.map(({ timeS, horse }, i) =>
    follower.step({
      gray: picture(i),
      timeS,
      pictureWidthPx: PICTURE.widthPx,
      pictureHeightPx: PICTURE.heightPx,
      masks: horse ? [[...horse.box]] : [],
    }),
  );
  follower.free();
  const track = buildTrack(frames, motion, [], PICTURE);
  const passes = analyseTrack(track, { withersM: walk.options.withersM });
  return { walk, turnDeg, motion, track, passes };
}

const holds = (measure: Measure | undefined, truth: number, within: number): void => {
  if (!measure || !('value' in measure)) throw new Error(`no value: ${JSON.stringify(measure)}`);
  expect(Math.abs(measure.value - truth)).toBeLessThan(within);
  expect(measure.low).toBeLessThan(truth);
  expect(measure.high).toBeGreaterThan(truth);
};

describe('a camera that turns after the horse, held by hand', () => {
  it.each<[string, number, Partial<Filming>]>([
    ['a phone', 30, {}],
    ['a wider one, the other way', 30, { focal: 0.6, direction: 'right' }],
    ['a longer one, 60 pictures a second', 25, { focal: 1, distanceM: 10, fps: 60 }],
    ['near by', 38, { distanceM: 7 }],
    ['tilted downwards', 30, { tiltDeg: -5, cameraHeightM: 1.6, direction: 'right' }],
    ['turning by less than the horse goes', 10, { follows: 0.4 }],
  ])('%s: by %i degrees or more', (_, leastDeg, how) => {
    const { walk, turnDeg, motion, track, passes } = measured({ ...USUAL, ...how });
    expect(Math.abs(turnDeg)).toBeGreaterThan(leastDeg);
    expect(motion.every(({ ok }) => ok)).toBe(true);
    const { focal, strideLengthM, overtrackM } = { ...USUAL, ...how, ...walk.options };
    const found = 1 / (Math.sqrt(track.lens?.kappa ?? Infinity) * PICTURE.widthPx);
    expect(Math.abs(found / focal - 1)).toBeLessThan(0.04);
    expect(passes).toHaveLength(1);
    const [pass] = passes;
    expect(pass?.warnings).toEqual([]);
    holds(pass?.measures.strideLengthM, strideLengthM, 0.015 * strideLengthM);
    holds(pass?.measures.overtrackM, overtrackM, 0.015);
  });
});
