/**
 * The clips of the accuracy bench: led horses of many builds and ways of going, filmed as people film. Seeded: the same
 * clips every time. Ranges are those of measures.md's sources where it has them, else our own estimates.
 */
import { LIMBS, type Limb, type Side } from '../../src/points.ts';
import { root } from '../support/programs.ts';
import { numbers } from '../support/kinematicLaws.ts';
import type { CameraPlan } from '../truth/camera.ts';
import { jogManner, walkManner, type WalkPlan } from '../truth/gait.ts';
import { CLOTHES, type HandlerPlan } from '../truth/handler.ts';
import { COATS, type Coat } from '../truth/horseSkin.ts';
import { STRAIGHT } from '../truth/path.ts';
import { withinReach } from '../truth/reach.ts';
import { CLIPS, type ClipPlan, type ExposurePlan, type ScenePlan } from '../truth/plans.ts';

export type CameraKind = 'tripod' | 'handHeld' | 'panned' | 'walkingAlong';

export interface BenchClip {
  readonly name: string;
  readonly plan: ClipPlan;
  readonly kind: CameraKind;
  /** Angle between the picture's plane and the path, degrees: positive where the horse comes nearer. */
  readonly obliqueDeg: number;
  readonly jogs: boolean;
  readonly groups: readonly string[];
  /** Where the clip lies, without its ending, if not with those that the bench draws. */
  readonly stem?: string;
}

/** A seed of its own: drawn pictures for training never use it. */
export const BENCH_SEED = 910_000;
export const BENCH_CLIPS = 40;

export type Random = ReturnType<typeof numbers>;
export const between = (random: Random, low: number, high: number): number =>
  low + (high - low) * random.uniform();
export const oneOf = <T>(random: Random, list: readonly T[]): T => {
  const picked = list[Math.floor(random.uniform() * list.length)];
  if (picked === undefined) throw new Error('nothing to choose from');
  return picked;
};

export function walkPlan(seed: number, jogs: boolean, random: Random): WalkPlan {
  const withersM = between(random, 1.3, 1.72);
  // Stride length over withers height and its duration: check 35 and the judges' classes of check 10.
  const strideLengthM = withersM * between(random, 0.95, 1.15);
  const speedMps = between(random, 1.35, 1.8);
  const strideDurationS = strideLengthM / speedMps;
  const overtrackM = between(random, -0.08, 0.24);
  const manner = walkManner({
    strideLengthM,
    strideDurationS,
    overtrackM,
    lag: between(random, 0.19, 0.27),
    contralateral: between(random, 0.485, 0.515),
    dutyFore: between(random, 0.61, 0.66),
    dutyHind: between(random, 0.6, 0.64),
  });
  const unlike = between(random, -0.015, 0.015);
  const overtracks = { left: overtrackM + unlike, right: overtrackM - unlike };
  const jog = jogManner({
    strideLengthM: 1.25 * strideLengthM,
    strideDurationS: 0.72,
    overtrackM: 0,
    duty: 0.44,
  });
  const build = {
    length: between(random, 0.96, 1.05),
    girth: between(random, 0.92, 1.05),
    neck: between(random, 0.85, 1.1),
    legs: between(random, 0.92, 1.1),
  };
  return {
    seed,
    withersM,
    build,
    manner: withinReach({ withersM, build }, { ...manner, overtrackM: overtracks }),
    strideCv: between(random, 0.005, 0.02),
    bouts: jogs ? [{ from: 1, strides: 2, manner: jog }] : [],
    headAboveM: withersM * between(random, -0.05, 0.2),
    nodM: withersM * between(random, 0.035, 0.08),
    headTurnDeg: between(random, -4, 4),
    headSwayDeg: between(random, 0, 3),
    croupAboveM: withersM * between(random, -0.02, 0.03),
    baseWidthM: { fore: between(random, 0.14, 0.22), hind: between(random, 0.14, 0.22) },
    swingOutM: Object.fromEntries(LIMBS.map((l) => [l, between(random, -0.02, 0.03)])) as Record<
      Limb,
      number
    >,
    startM: 0,
  };
}

export function coat(random: Random): Coat {
  const base: Coat = oneOf(random, Object.values(COATS) as Coat[]);
  const white = LIMBS.filter(() => random.uniform() < 0.2);
  return {
    ...base,
    socks: white.filter(() => random.uniform() < 0.6),
    stockings: white.filter(() => random.uniform() < 0.4),
    blaze: random.uniform() < 0.4,
    boots: random.uniform() < 0.1 ? 0x2b2f36 : null,
  };
}

export function scene(seed: number, sees: Side, random: Random): ScenePlan {
  const towards = sees === 'left' ? 90 : -90;
  const ground = oneOf(random, ['sand', 'sand', 'grass', 'tarmac'] as const);
  return {
    seed,
    ground,
    beyond: oneOf(random, ['trees', 'hall', 'hills'] as const),
    fence: random.uniform() < 0.7,
    sunHeadingDeg: towards + between(random, -75, 75),
    sunUpDeg: between(random, 22, 60),
    overcast: random.uniform() < 0.3,
    // A third of the sands are dry.
    dust: ground === 'sand' && seed % 3 === 0 ? 0.7 : 0,
  };
}

const CLOTHING = [0x3f6f52, 0x7a2f34, 0x2f3f6f, 0xb9b2a4, 0x6b6152] as const;

export function handler(random: Random): HandlerPlan {
  return {
    side: random.uniform() < 0.7 ? 'left' : 'right',
    aheadH: between(random, 0.3, 0.62),
    asideM: between(random, 0.75, 1.0),
    clothes: { ...CLOTHES, jacket: oneOf(random, CLOTHING), trousers: oneOf(random, [0x2c3440, 0xd8d3c6]) },
  };
}

/** What differs by plan rather than by chance, so that every group is large enough. */
function kindsOf(i: number): { fps: number; kind: CameraKind; oblique: boolean; wavering: boolean } {
  const kinds: CameraKind[] = ['tripod', 'handHeld', 'panned', 'tripod', 'handHeld'];
  return {
    fps: i % 5 === 1 ? 30 : i % 10 === 7 ? 120 : 60,
    kind: i % 13 === 12 ? 'walkingAlong' : (kinds[i % 5] ?? 'tripod'),
    oblique: i % 7 === 3,
    wavering: i % 10 === 4,
  };
}

function cameraPlan(
  walk: WalkPlan,
  sees: Side,
  obliqueDeg: number,
  of: ReturnType<typeof kindsOf>,
  random: Random,
): { camera: CameraPlan; startM: number } {
  const side = sees === 'left' ? 1 : -1;
  const focalShare = between(random, 0.66, 0.8);
  const speed = walk.manner.strideLengthM / walk.manner.strideDurationS;
  const still = of.kind === 'tripod' || of.kind === 'handHeld';
  const distanceM = still ? between(random, 8, 11) : between(random, 6.5, 9);
  // A still camera sees the whole horse over this much of its path.
  const lastsS = still ? Math.min(6, (distanceM / focalShare + 1.2 * walk.withersM) / speed) : 5;
  const small = random.uniform() < 0.15;
  const turned = (obliqueDeg * Math.PI) / 180;
  const wayM = speed * lastsS;
  return {
    startM: -wayM / 2 + 0.2 * walk.withersM,
    camera: {
      widthPx: small ? 1280 : 1920,
      heightPx: small ? 720 : 1080,
      fps: of.fps,
      frames: Math.round(lastsS * of.fps),
      timeJitter: of.wavering ? 0.25 : 0,
      focalShare,
      // Turned about the middle of the path: the camera looks at it from aside.
      placeM: [
        Math.sin(turned) * distanceM - (of.kind === 'walkingAlong' ? wayM / 2 : 0),
        side * Math.cos(turned) * distanceM,
        between(random, 1.1, 1.6),
      ],
      speedMps: [of.kind === 'walkingAlong' ? speed : 0, 0, 0],
      headingDeg: (Math.atan2(-side * Math.cos(turned), -Math.sin(turned)) * 180) / Math.PI,
      follow: of.kind === 'panned',
      tiltDeg: between(random, -3, 0),
      shakeDeg: of.kind === 'tripod' ? 0 : between(random, 0.05, 0.25),
      shakeM: of.kind === 'tripod' ? 0 : 0.006,
      readoutS: of.kind === 'tripod' ? 0 : 0.012,
      seed: walk.seed,
    },
  };
}

export const exposure = (scenePlan: ScenePlan, fps: number, random: Random): ExposurePlan => {
  const shutterS = scenePlan.overcast ? 1 / 150 : 1 / 500;
  return {
    shutterS: Math.min(shutterS, 0.9 / fps),
    pictures: scenePlan.overcast ? 2 : 1,
    gain: between(random, 0.8, 1.15),
    noise: between(random, 0.5, 2.5),
    kbps: between(random, 5000, 14000),
  };
};

/** Clip i of the bench. */
export function benchClip(i: number): BenchClip {
  const seed = BENCH_SEED + i;
  const random = numbers(seed);
  for (let k = 0; k < 5; k++) random.uniform();
  const of = kindsOf(i);
  const jogs = i % 9 === 5;
  const sees: Side = random.uniform() < 0.5 ? 'left' : 'right';
  const sign = random.uniform() < 0.5 ? 1 : -1;
  const obliqueDeg = of.oblique ? sign * between(random, 12, 22) : between(random, -6, 6);
  const walk = walkPlan(seed, jogs, random);
  const { camera, startM } = cameraPlan(walk, sees, obliqueDeg, of, random);
  const scenePlan = scene(seed, sees, random);
  const led = handler(random);
  const plan: ClipPlan = {
    going: { walk: { ...walk, startM } },
    path: STRAIGHT,
    camera,
    coat: coat(random),
    handler: led,
    scene: scenePlan,
    exposure: exposure(scenePlan, of.fps, random),
  };
  return {
    name: `bench-${String(i).padStart(2, '0')}`,
    plan,
    kind: of.kind,
    obliqueDeg,
    jogs,
    groups: [
      `${of.fps} fps${of.wavering ? ', wavering' : ''}`,
      of.kind,
      Math.abs(obliqueDeg) <= 8 ? 'within 8 degrees' : 'oblique',
      led.side === sees ? 'handler in front' : 'handler behind',
      ...(jogs ? ['jog steps'] : []),
    ],
  };
}

/** The sample clips of horses that walk. */
export const sampleSet = (): BenchClip[] =>
  Object.entries(CLIPS)
    .filter(([, { going }]) => 'walk' in going)
    .map(([name, plan]) => ({
      ...{ name, plan, kind: plan.camera.follow ? 'panned' : 'tripod', obliqueDeg: 0 },
      ...{ jogs: name.includes('jog'), groups: [name], stem: `${root}/sample-clips/${name}` },
    }));

export const benchSet = (): BenchClip[] => Array.from({ length: BENCH_CLIPS }, (_, i) => benchClip(i));
