/**
 * Passes found by themselves, against the truth of drawn clips: exact points with the noise of real ones (exact.ts) and
 * wrong views, seen by cameras that stand or turn; and against the published trajectories.
 */
import { describe, expect, it } from 'vitest';
import { findSidePasses } from '../../src/gait/index.ts';
import { findPasses, type ClipPass } from '../../src/gait/passKinds.ts';
import { buildTrack } from '../../src/track/build.ts';
import { LANES } from '../../src/track/lens.ts';
import type { MotionStep } from '../../src/track/types.ts';
import { exactSteps, NOTHING_HIDDEN } from '../accuracy/exact.ts';
import { sharedPath } from '../support/shared.ts';
import { realFrames } from '../track/real.ts';
import type { CameraPlan } from '../truth/camera.ts';
import { walkManner, type WalkPlan } from '../truth/gait.ts';
import type { PathPlan } from '../truth/path.ts';
import { CLIPS, type ClipPlan } from '../truth/plans.ts';
import { truthOf, type TruthFile } from '../truth/truth.ts';
import { mirrored, seenOf, type Clip } from './drawnClips.ts';

/** How far a border may be off, s. */
const BORDER_S = 0.5;
type Span = Pick<ClipPass, 'kind' | 'startS' | 'endS' | 'direction'>;

const planOf = (name: string): ClipPlan => {
  const plan = CLIPS[name];
  if (!plan) throw new Error(`no plan for ${name}`);
  return plan;
};

const trackOf = ({ frames, motion, picture }: Clip) => buildTrack(frames, motion, [], picture);
const viewsOf = ({ frames }: Clip): string[] => frames.map(({ horse }) => horse?.view ?? 'none');
const passesOf = (clip: Clip): ClipPass[] => findPasses(trackOf(clip), viewsOf(clip));
const trueOf = (plan: ClipPlan): TruthFile => truthOf(plan, () => NOTHING_HIDDEN);

const named = (passes: readonly Span[]): string[] =>
  passes.map(({ kind, direction }) => (direction ? `${kind} ${direction}` : kind));

function expectSame(found: readonly Span[], truth: readonly Span[], within = BORDER_S): void {
  expect(named(found)).toEqual(named(truth));
  found.forEach((pass, i) => {
    const borders = `${pass.kind} ${pass.startS.toFixed(2)} - ${pass.endS.toFixed(2)}, truth ${truth[i]?.startS} - ${truth[i]?.endS}`;
    expect(Math.abs(pass.startS - (truth[i]?.startS ?? NaN)), borders).toBeLessThanOrEqual(within);
    expect(Math.abs(pass.endS - (truth[i]?.endS ?? NaN)), borders).toBeLessThanOrEqual(within);
    expect(pass.startS).toBeGreaterThan(found[i - 1]?.endS ?? -1);
    expect(pass.endS).toBeGreaterThan(pass.startS);
  });
}

const triangle = planOf('triangle');
const going = (triangle.going as { walk: WalkPlan }).walk;
/** Without the readout's slant, which is slow to work out and moves nothing by more than 12 ms. */
const withCamera = (change: Partial<CameraPlan>, plan = triangle): ClipPlan => ({
  ...plan,
  camera: { ...plan.camera, readoutS: 0, ...change },
});
const onPath = (change: Partial<PathPlan>, camera: Partial<CameraPlan> = {}): ClipPlan =>
  withCamera(camera, { ...triangle, path: { ...triangle.path, wander: [], ...change } });
const walking = (change: Partial<WalkPlan>, camera: Partial<CameraPlan> = {}): ClipPlan =>
  withCamera(camera, { ...triangle, going: { walk: { ...going, ...change } } });
const still = { follow: false, shakeDeg: 0, shakeM: 0, headingDeg: 90 } as const;
const corners = (lengthM: number, pastM: number, turnDeg: number, arcM: number): Partial<PathPlan> => ({
  headingDeg: turnDeg,
  legs: [
    { lengthM, turnDeg: 0 },
    { lengthM: arcM, turnDeg: -turnDeg },
    { lengthM: pastM, turnDeg: 0 },
    { lengthM: arcM, turnDeg: -turnDeg },
    { lengthM, turnDeg: 0 },
  ],
});
const thereAndBack = (lengthM: number, arcM: number): Partial<PathPlan> => ({
  fromM: [0, -6.5],
  headingDeg: 92,
  legs: [
    { lengthM, turnDeg: 0 },
    { lengthM: arcM, turnDeg: 178 },
  ],
});
const manner = (longer: number, strideDurationS: number): WalkPlan['manner'] =>
  walkManner({
    strideLengthM: 1.74 * longer,
    strideDurationS,
    overtrackM: 0.11 * longer,
    lag: 0.235,
    contralateral: 0.5,
    dutyFore: 0.63,
    dutyHind: 0.62,
  });

const PLANS: Readonly<Record<string, ClipPlan>> = {
  'the other way round': onPath({
    fromM: [2, -5.6],
    headingDeg: 62,
    legs: triangle.path.legs.map((leg) => ({ ...leg, turnDeg: -leg.turnDeg })),
  }),
  'a picture every 0.1 s': withCamera({ fps: 10, frames: 160 }),
  '15 frames a second': withCamera({ fps: 15, frames: 240 }),
  '60 frames a second': withCamera({ fps: 60, frames: 960 }),
  'an upright picture': withCamera({ widthPx: 720, heightPx: 1280 }),
  // It ends in the second turn.
  'a pony': walking({ withersM: 1.15, manner: manner(0.71, 0.92) }, { frames: 450 }),
  'a tall horse': walking({ withersM: 1.85, manner: manner(1.1, 1.15) }),
  'a slow walk': walking({ manner: manner(0.8, 1.25) }, { frames: 660 }),
  'sharp corners': onPath(corners(7, 8, 118, 2)),
  'wide corners': onPath(corners(6, 9, 110, 5), { frames: 570 }),
  'a large triangle': onPath(corners(14, 14, 110, 3.1), { frames: 900 }),
  'there and back': onPath(thereAndBack(9, 3.5), { frames: 360 }),
  'there and back in a wide bend': onPath(thereAndBack(8, 6), { frames: 360 }),
  'there and back before a camera that stands': onPath(
    { ...thereAndBack(9, 3.5), fromM: [-0.5, -6] },
    { ...still, frames: 360 },
  ),
  'away before a camera that stands': onPath(
    { fromM: [0, -5], headingDeg: 93, legs: [] },
    { ...still, frames: 200 },
  ),
  'back before a camera that stands': onPath(
    { fromM: [0.3, 4], headingDeg: -88, legs: [] },
    { ...still, frames: 150 },
  ),
  'past and back before a camera that stands': onPath(
    {
      fromM: [-3.4, 0],
      headingDeg: 0,
      legs: [
        { lengthM: 5.4, turnDeg: 0 },
        { lengthM: 3, turnDeg: 180 },
      ],
    },
    { ...still, frames: 295 },
  ),
  'one line, from afar past the camera': onPath({ fromM: [-14, -5], headingDeg: 0, legs: [] }),
  standing: planOf('standing'),
  'the side pass': planOf('side-pass'),
  'the hurried side pass': planOf('side-pass-hurried'),
  'the side pass with jog steps': planOf('side-pass-jog-steps'),
};

const truth = trueOf(triangle);
const clip = seenOf(triangle, truth);

describe('passes of drawn clips', () => {
  it.each(Object.keys(PLANS))('%s', (name) => {
    const plan = PLANS[name] as ClipPlan;
    const truth = trueOf(plan);
    const clip = seenOf(plan, truth);
    expectSame(passesOf(clip), truth.passes);
  });

  it('of the triangle, whatever the noise', () => {
    for (const seed of [1, 2, 3, 4]) expectSame(passesOf(seenOf(triangle, truth, seed)), truth.passes);
  });
});

it('a horse that stamps again and again on the spot walks nowhere', () => {
  const plan = planOf('standing');
  const seen = seenOf(plan, trueOf(plan));
  const frames = seen.frames.map((frame) => {
    const hoof = frame.horse?.points.left_fore_hoof;
    if (!frame.horse || !hoof) return frame;
    const stamped = { ...hoof, y: hoof.y - 40 * Math.max(0, Math.sin(9 * frame.timeS)) };
    return {
      ...frame,
      horse: { ...frame.horse, points: { ...frame.horse.points, left_fore_hoof: stamped } },
    };
  });
  expect(passesOf({ ...seen, frames }).filter(({ kind }) => kind !== 'stand')).toEqual([]);
});

/** The clip held at one picture for a while: a horse that halts in mid-stride. */
function halted(atS: number, forS: number): { clip: Clip; laterS: (timeS: number) => number } {
  const { fps } = triangle.camera;
  const at = Math.round(atS * fps);
  const order = truth.frames.flatMap((_, i): number[] =>
    i === at ? new Array<number>(Math.round(forS * fps) + 1).fill(i) : [i],
  );
  const steps = exactSteps(
    triangle,
    truth.frames.map(({ timeS }) => timeS),
  );
  const frames = order.flatMap((k) => truth.frames[k] ?? []);
  const seen = seenOf(triangle, { ...truth, frames });
  const rest = { a: 1, b: 0, tx: 0, ty: 0 };
  const motion = order.flatMap((k, i): MotionStep[] => {
    const step = steps[k];
    if (!step) return [];
    const moves = k !== order[i - 1];
    return [
      {
        ...step,
        timeS: i / fps,
        ...(moves ? {} : { toPrevious: rest, turns: LANES.slice(1).map(() => rest) }),
      },
    ];
  });
  return {
    clip: { ...seen, frames: seen.frames.map((frame, i) => ({ ...frame, timeS: i / fps })), motion },
    laterS: (timeS) => (timeS > atS ? timeS + forS : timeS),
  };
}

describe('a horse that halts', () => {
  it.each([1.5, 4.5, 8, 14.5])('at %f s stands, and goes on as before', (atS) => {
    const { clip: held, laterS } = halted(atS, 2);
    const wanted = truth.passes.flatMap((pass): Span[] => {
      const [startS, endS] = [laterS(pass.startS), laterS(pass.endS)];
      if (pass.startS > atS || pass.endS < atS) return [{ ...pass, startS, endS }];
      return [
        { ...pass, startS, endS: atS },
        { kind: 'stand', startS: atS, endS: atS + 2 },
        { ...pass, startS: atS + 2, endS },
      ];
    });
    expectSame(passesOf(held), wanted);
  });
});

describe('passes', () => {
  it('are mirrored in a mirrored clip, to the frame', () => {
    const there = passesOf(clip);
    const swapped = { left: 'right', right: 'left' } as const;
    expect(there).toHaveLength(5);
    expect(passesOf(mirrored(clip))).toEqual(
      there.map((pass) => (pass.direction ? { ...pass, direction: swapped[pass.direction] } : pass)),
    );
  });

  it('from the side are those that are measured', () => {
    for (const name of ['side-pass', 'side-pass-hurried', 'side-pass-jog-steps']) {
      const plan = planOf(name);
      const seen = seenOf(plan, trueOf(plan));
      const sides = findSidePasses(trackOf(seen));
      expect(passesOf(seen)).toEqual(
        sides.map(({ startS, endS, direction }) => ({ kind: 'side', startS, endS, direction })),
      );
      expect(sides).toHaveLength(1);
    }
  });

  it('are none in an empty clip, in one picture, and without a horse', () => {
    expect(passesOf({ ...clip, frames: [], motion: null })).toEqual([]);
    const frames = clip.frames.map(({ timeS }) => ({ timeS, horse: null }));
    expect(passesOf({ ...clip, frames })).toEqual([]);
    expect(passesOf({ ...clip, frames: clip.frames.slice(0, 1), motion: null })).toEqual([]);
  });

  it('leave out what is not seen', () => {
    const [fromS, toS] = [6.8, 8.3];
    const frames = clip.frames.map((frame) =>
      frame.timeS > fromS && frame.timeS < toS ? { ...frame, horse: null } : frame,
    );
    const side = truth.passes[2] as Span;
    expectSame(passesOf({ ...clip, frames }), [
      ...truth.passes.slice(0, 2),
      { ...side, endS: fromS },
      { ...side, startS: toS },
      ...truth.passes.slice(3),
    ]);
    for (const { startS, endS } of passesOf({ ...clip, frames }))
      expect(startS >= toS - 1e-6 || endS <= fromS + 1e-6).toBe(true);
  });

  it('are found by the way alone where no view is known', () => {
    expectSame(
      findPasses(
        trackOf(clip),
        clip.frames.map(() => 'none'),
      ),
      truth.passes,
    );
  });

  it('of a clip played at a half and a quarter of its pace are the same, in the horse’s own time', () => {
    for (const by of [2, 4]) {
      const slow = <T extends { readonly timeS: number }>(list: readonly T[]): T[] =>
        list.map((one) => ({ ...one, timeS: one.timeS * by }));
      const found = passesOf({ ...clip, frames: slow(clip.frames), motion: slow(clip.motion ?? []) });
      expectSame(
        found.map((pass) => ({ ...pass, startS: pass.startS / by, endS: pass.endS / by })),
        truth.passes,
      );
    }
  });
});

const PUBLISHED = ['c063', 'c064', 'c065', 'c066', 'c067', 'c068', 'c069', 'c070'];

/** Data of Niknejad et al. 2023, J ASABE 66:865: ridden walk past a still camera, every horse to the left. */
describe.skipIf(sharedPath('real-clips/c063.keypoints.json') === null)('the published trajectories', () => {
  it.each(PUBLISHED)('%s is one pass to the left from its first to its last moment', (name) => {
    const frames = realFrames(name);
    const real: Clip = { frames, motion: null, picture: { widthPx: 2208, heightPx: 1242 } };
    const [side] = findSidePasses(trackOf(real));
    expect(passesOf(real)).toEqual([
      { kind: 'side', startS: side?.startS, endS: side?.endS, direction: 'left' },
    ]);
  });
});
