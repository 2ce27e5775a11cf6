/**
 * The triangles of the accuracy bench: one uncut take each, away from the camera, past it and back, panned by hand.
 * Seeded; walks wider and narrower, winging and plaiting, heads turned; straight and crooked ways.
 */
import { LIMBS, type Limb } from '../../src/points.ts';
import { numbers } from '../support/kinematicLaws.ts';
import type { CameraPlan } from '../truth/camera.ts';
import type { WalkPlan } from '../truth/gait.ts';
import type { PathPlan } from '../truth/path.ts';
import { between, coat, exposure, handler, scene, walkPlan, type Random } from './set.ts';
import type { BenchClip } from './set.ts';

/** A seed of its own, as BENCH_SEED. */
const TRIANGLE_SEED = 920_000;
export const TRIANGLES = 20;

/** Radius of a turn, m. */
const TURN_M = 1.5;
/** From the camera to the corner where the way begins, and to where it ends, m. */
const NEAREST_M = 3.6;

function lineWalk(seed: number, random: Random): WalkPlan {
  const walk = walkPlan(seed, false, random);
  return {
    ...walk,
    headTurnDeg: between(random, -9, 9),
    headSwayDeg: between(random, 0, 4),
    baseWidthM: { fore: between(random, 0.12, 0.26), hind: between(random, 0.1, 0.24) },
    swingOutM: Object.fromEntries(LIMBS.map((limb) => [limb, between(random, -0.05, 0.07)])) as Record<
      Limb,
      number
    >,
    startM: 0.3,
  };
}

/** From near the camera out to the left, across to the right, and back; on the way back it may be off the line by some degrees. */
function way(random: Random, crooked: boolean): PathPlan {
  const outM = between(random, 5.5, 9);
  const acrossM = between(random, 6.5, 9);
  // The corners of a triangle whose apex is at the camera.
  const asideDeg = (Math.atan2(acrossM / 2 + TURN_M, outM + NEAREST_M) * 180) / Math.PI;
  const turnDeg = 90 + asideDeg;
  const arcM = (turnDeg * Math.PI * TURN_M) / 180;
  const off = crooked ? between(random, -9, 9) : between(random, -2, 2);
  const out = ((90 + asideDeg) * Math.PI) / 180;
  const fromM = outM + arcM + acrossM + arcM;
  return {
    fromM: [NEAREST_M * Math.cos(out), NEAREST_M * Math.sin(out)],
    headingDeg: 90 + asideDeg + between(random, -3, 3),
    legs: [
      { lengthM: outM, turnDeg: 0 },
      { lengthM: arcM, turnDeg: -turnDeg },
      { lengthM: acrossM, turnDeg: 0 },
      { lengthM: arcM, turnDeg: -turnDeg + off },
      { lengthM: outM - 0.8, turnDeg: 0 },
    ],
    wander: crooked
      ? [
          {
            sizeM: between(random, 0.08, 0.25),
            lengthM: between(random, 3.5, 6),
            phase: between(random, 0, 6),
            fromM,
            toM: 99,
          },
        ]
      : [],
  };
}

const lengthM = (path: PathPlan): number => path.legs.reduce((sum, leg) => sum + leg.lengthM, 0);

export function triangleClip(i: number): BenchClip {
  const seed = TRIANGLE_SEED + i;
  const random = numbers(seed);
  for (let k = 0; k < 5; k++) random.uniform();
  const walk = lineWalk(seed, random);
  const path = way(random, i % 2 === 1);
  const fps = i % 4 === 2 ? 60 : 30;
  const speed = walk.manner.strideLengthM / walk.manner.strideDurationS;
  const camera: CameraPlan = {
    ...{ widthPx: 1920, heightPx: 1080, fps, timeJitter: 0, focalShare: between(random, 0.66, 0.8) },
    frames: Math.round(((lengthM(path) - walk.startM) / speed) * fps),
    ...{ placeM: [0, 0, between(random, 1.1, 1.6)], speedMps: [0, 0, 0], headingDeg: 90, follow: true },
    ...{
      tiltDeg: between(random, -3, 0),
      shakeDeg: between(random, 0.05, 0.2),
      shakeM: 0.006,
      readoutS: 0.012,
      seed,
    },
  };
  const scenePlan = { ...scene(seed, 'right', random), sunHeadingDeg: between(random, 0, 360) };
  const led = handler(random);
  return {
    name: `triangle-${String(i).padStart(2, '0')}`,
    plan: {
      going: { walk },
      ...{ path, camera, coat: coat(random), handler: led, scene: scenePlan },
      exposure: exposure(scenePlan, fps, random),
    },
    ...{ kind: 'panned', obliqueDeg: 0, jogs: false },
    groups: [`${fps} fps`, i % 2 === 1 ? 'crooked' : 'straight', `handler on its ${led.side}`],
  };
}

export const triangleSet = (): BenchClip[] => Array.from({ length: TRIANGLES }, (_, i) => triangleClip(i));
