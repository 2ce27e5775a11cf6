import { describe, expect, it } from 'vitest';
import { isSamePicture } from '../../src/clip/repeats.ts';
import type { GrayPicture } from '../../src/clip/types.ts';
import { mirrorName, POINT_NAMES, type PointName } from '../../src/points.ts';
import type { Rgba } from '../../src/pose/crop.ts';
import { afterPose } from '../../src/pose/follow.ts';
import { nothingFollowed, type FollowState } from '../../src/pose/followState.ts';
import { lookAt, networkOf } from '../../src/pose/network.ts';
import type { HorsePose, View } from '../../src/pose/types.ts';
import { buildTrack } from '../../src/track/build.ts';
import { root } from '../support/programs.ts';
import { walk } from '../support/kinematic.ts';
import { modelFromDisk, startWasm } from '../pose/diskModel.ts';
import { PICTURE } from '../track/synthetic.ts';

describe('a picture shown again', () => {
  const gray = (change: (i: number) => number): GrayPicture => ({
    widthPx: 64,
    heightPx: 36,
    data: Uint8Array.from({ length: 64 * 36 }, (_, i) => 100 + (i % 50) + change(i)),
  });
  it('is the same after another coding, and another one where a hoof has moved', () => {
    expect(
      isSamePicture(
        gray(() => 0),
        gray((i) => (i % 3) - 1),
      ),
    ).toBe(true);
    expect(
      isSamePicture(
        gray(() => 0),
        gray((i) => (i === 700 ? 12 : 0)),
      ),
    ).toBe(false);
    expect(
      isSamePicture(
        gray(() => 0),
        { ...gray(() => 0), widthPx: 32, heightPx: 72 },
      ),
    ).toBe(false);
  });
});

describe('a clip played slowly', () => {
  it.each([2, 4, 8])('%d times: the same track, speeds so much lower', (by) => {
    const { frames } = walk({ fps: 30, strides: 3, seed: 5, noise: 1, dropOut: 0.05 });
    // A walker of usual pace: one that goes faster is tracked by the clock.
    const usual = frames.map((f) => ({ ...f, timeS: 1.5 * f.timeS }));
    const slow = usual.map((f) => ({ ...f, timeS: by * f.timeS }));
    const [a, b] = [usual, slow].map((list) => buildTrack(list, null, [], PICTURE));
    let seen = 0;
    for (const name of POINT_NAMES) {
      a?.points[name].forEach((p, i) => {
        const q = b?.points[name][i] ?? null;
        expect(q === null).toBe(p === null);
        if (!p || !q) return;
        seen++;
        expect(Math.hypot(q.x - p.x, q.y - p.y)).toBeLessThan(1e-3);
        expect(Math.abs(q.vx * by - p.vx)).toBeLessThan(1e-2 * Math.abs(p.vx) + 1);
      });
    }
    expect(seen).toBeGreaterThan(500);
  });
});

describe('the network is shown a horse that faces left', () => {
  const pose = (view: View): HorsePose => ({
    view,
    box: [0, 0, 300, 300],
    points: Object.fromEntries(
      POINT_NAMES.map((name, i) => [name, { x: 300 + 15 * i, y: 200 + 14 * i, score: 0.9 }]),
    ),
  });
  const after = (state: FollowState, views: readonly View[], fromS: number): FollowState =>
    views.reduce(
      (s, view, i) => afterPose(s, pose(view), fromS + i / 30, { widthPx: 1920, heightPx: 1080 }).state,
      state,
    );
  const found: FollowState = { ...nothingFollowed, square: { x: 450, y: 340, sidePx: 400 }, fresh: true };

  it('in the mirror where it faces right, from the first frame on', () => {
    expect(after(found, ['left'], 0).mirrored).toBe(false);
    expect(after(found, ['right'], 0).mirrored).toBe(true);
  });

  it('and turns with the horse, but not for a frame or two, nor where it comes or goes', () => {
    const right = after(found, ['right', 'right', 'right'], 0);
    expect(after(right, ['left', 'left', 'right', 'right'], 0.1).mirrored).toBe(true);
    const turned = after(right, new Array<View>(12).fill('left'), 0.1);
    expect(turned.mirrored).toBe(false);
    expect(after(turned, new Array<View>(12).fill('towards'), 0.5).mirrored).toBe(false);
  });

  it('so that a picture and its mirror image give the same points, sides exchanged', async () => {
    await startWasm();
    const network = networkOf(await modelFromDisk(`${root}/models/horse-keypoints/model.json`), null);
    const size = { widthPx: 331, heightPx: 300 };
    const pixel = (x: number, y: number): number[] => {
      const body = Math.hypot((x - 160) / 110, (y - 120) / 45) < 1;
      const neck = Math.hypot((x - 55) / 25, (y - 70) / 50) < 1;
      const leg = y > 130 && y < 270 && [80, 110, 220, 250].some((at) => Math.abs(x - at) < 8);
      return body || neck || leg ? [90, 60, 40, 255] : [150, 170, 140, 255];
    };
    const picture = (mirrored: boolean): Rgba => ({
      ...size,
      data: Uint8Array.from(
        Array.from({ length: size.widthPx * size.heightPx }, (_, i) => {
          const x = i % size.widthPx;
          return pixel(mirrored ? size.widthPx - 1 - x : x, Math.floor(i / size.widthPx));
        }).flat(),
      ),
    });
    const square = { x: 150, y: 148, sidePx: 330 };
    const plain = await lookAt(network, picture(false), square);
    const turned = await lookAt(
      network,
      picture(true),
      { ...square, x: size.widthPx - 1 - square.x },
      { mirrored: true },
    );
    const names = Object.keys(plain.points) as PointName[];
    expect(names.length).toBeGreaterThan(8);
    expect(Object.keys(turned.points)).toHaveLength(names.length);
    for (const name of names) {
      const [p, q] = [plain.points[name], turned.points[mirrorName(name)]];
      expect(q?.x).toBeCloseTo(size.widthPx - 1 - (p?.x ?? NaN), 2);
      expect(q?.y).toBeCloseTo(p?.y ?? NaN, 2);
      expect(q?.score).toBeCloseTo(p?.score ?? NaN, 3);
    }
    network.model.dispose();
  });
});
