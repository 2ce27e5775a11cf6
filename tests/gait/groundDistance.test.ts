/** Scale from two marks on the ground, on computed walks whose camera is known. */
import { describe, expect, it } from 'vitest';
import { analyseTrack, type GroundDistance } from '../../src/gait/index.ts';
import { project, walk, WALK, type WalkOptions } from '../support/kinematic.ts';
import { seeds, value } from './support.ts';

type Spot = readonly [alongM: number, towardsCameraM: number];

function marked(options: Partial<WalkOptions>, from: Spot, to: Spot, distanceM?: number): GroundDistance {
  const o = { ...WALK, ...options };
  const distance = distanceM ?? Math.hypot(from[0] - to[0], from[1] - to[1]);
  const at = ([s, w]: Spot): { x: number; y: number } => project(o, s, w, 0);
  return { kind: 'distance', id: 'd', timeS: 0.5, from: at(from), to: at(to), distanceM: distance };
}

function passWith(
  options: Partial<WalkOptions>,
  groundDistance: GroundDistance,
  withersM: number | null = null,
) {
  const made = walk(options);
  const [pass] = analyseTrack(made.track, { withersM, groundDistance });
  if (!pass) throw new Error('no pass');
  return { made, pass };
}

describe('two marks a known distance apart', () => {
  const cases: [string, Partial<WalkOptions>, Spot, Spot][] = [
    ['on the track', {}, [-1.5, 0], [1.5, 0]],
    ['beside the track, nearer', {}, [-1.5, 0.7], [1.5, 0.7]],
    ['beyond the track', {}, [-2, -1], [1, -1]],
    ['one nearer than the other', {}, [-1, 0.6], [1.5, -0.6]],
    ['on an oblique track', { obliquityDeg: 8 }, [-1.5, 0.3], [1.5, 0.3]],
    ['before a low camera', { cameraHeightM: 1.1 }, [-1.5, 0.5], [1.5, 0.5]],
  ];
  it.each(cases)(
    '%s: the height of the withers is found, and lengths without a typed height',
    (_, given, from, to) => {
      for (const seed of [1, 2, 3, 4]) {
        const options = { ...given, seed };
        const { made, pass } = passWith(options, marked(options, from, to));
        expect(Math.abs((pass.withersM ?? 0) / made.options.withersM - 1)).toBeLessThan(0.05);
        const stride = value(pass.measures.strideLengthM);
        const truth = made.speedMps * made.options.strideDurationS;
        expect(stride.low).toBeLessThan(truth);
        expect(stride.high).toBeGreaterThan(truth);
      }
    },
  );

  it.each([0.55, 0.75, 1])(
    'hold the truth beside the path whether the lens is at the elbow, where the filming card has it, or at the eyes: %f H',
    (cameraH) => {
      const held = [-1, 1].flatMap((towards) =>
        seeds(6).map((seed) => {
          const options = {
            seed,
            distanceM: 8,
            cameraHeightM: cameraH * WALK.withersM,
            noise: 1,
            strideCv: 0.02,
          };
          const { made, pass } = passWith(options, marked(options, [-2, towards], [2, towards]));
          const { low, high } = value(pass.measures.strideLengthM);
          return low < made.options.strideLengthM && high > made.options.strideLengthM;
        }),
      );
      expect(held.filter(Boolean).length).toBeGreaterThanOrEqual(11);
    },
  );

  it('stand for a typed height that is there too', () => {
    const marks = marked({}, [-1.5, 0], [1.5, 0]);
    const { pass } = passWith({}, marks, 1.2);
    expect(pass.withersM).toBeGreaterThan(1.4);
    expect(pass.warnings).toContain('heightsDisagree');
    expect(passWith({}, marks, 1.62).pass.warnings).not.toContain('heightsDisagree');
  });

  it('give wider intervals the nearer they lie together', () => {
    const widthOf = (half: number): number => {
      const { pass } = passWith({}, marked({}, [-half, 0], [half, 0]));
      const m = value(pass.measures.strideLengthM);
      return m.high - m.low;
    };
    expect(widthOf(0.15)).toBeGreaterThan(1.3 * widthOf(1.5));
  });

  it.each([
    ['on one spot', marked({}, [0, 0], [0, 0], 1)],
    ['of a horse 16 m high', marked({}, [-1, 0], [1, 0], 20)],
    ['no distance apart', marked({}, [-1, 0], [1, 0], 0)],
    ['up in the sky', { ...marked({}, [-1, 0], [1, 0]), from: { x: 300, y: 10 }, to: { x: 900, y: 10 } }],
  ])('%s: are not used', (_, groundDistance) => {
    const { pass } = passWith({}, groundDistance);
    expect(pass.withersM).toBeNull();
    expect(pass.measures.strideLengthM).toEqual({ reason: 'distanceUnread' });
  });
});
