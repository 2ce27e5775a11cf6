/** How the horse of a drawn picture is built and goes: wider ranges than any clip's. */
import { LIMBS, type Limb } from '../../../src/points.ts';
import { radians } from '../curves.ts';
import { jogManner, walkManner, type Build, type WalkPlan } from '../gait.ts';
import type { HoofPlace } from '../hooves.ts';
import { walking, type Motion } from '../motion.ts';
import { withinReach } from '../reach.ts';
import { standing, type StandPlan } from '../stand.ts';
import { between, happens, weighted, type Random } from './chance.ts';
import type { Shape } from './shape.ts';

/** What stays the same of one horse. */
export interface Body {
  readonly withersM: number;
  readonly build: Build;
  readonly croupAboveM: number;
  readonly shape: Shape;
}

export function body(random: Random): Body {
  const withersM = between(random, 1.15, 1.8);
  const heavy = between(random, -1, 1);
  return {
    withersM,
    build: {
      length: between(random, 0.9, 1.1),
      girth: 1 + 0.09 * heavy + between(random, -0.05, 0.06),
      neck: 1 + 0.1 * heavy + between(random, -0.1, 0.08),
      legs: between(random, 0.93, 1.06),
    },
    croupAboveM:
      withersM * (happens(random, 0.3) ? between(random, 0.02, 0.055) : between(random, -0.03, 0.025)),
    shape: {
      lengthwise: between(random, 0.93, 1.07),
      sideways: 1 + 0.08 * heavy + between(random, -0.06, 0.06),
      legsH: between(random, -0.035, 0.04),
      bone: 1 + 0.12 * heavy + between(random, -0.08, 0.1),
      head: between(random, 0.9, 1.1),
      tailLong: between(random, 0.55, 1.15),
      tailThick: between(random, 0.6, 1.5),
    },
  };
}

export interface Carriage {
  readonly headAboveM: number;
  /** Turned to the left by this. */
  readonly headTurnDeg: number;
  /** The nose further out than usual. */
  readonly noseUpDeg: number;
}

export function carriage(random: Random, { withersM }: Body): Carriage {
  const turned = weighted(random, { straight: 55, little: 30, far: 15 });
  const most = { straight: 6, little: 22, far: 55 }[turned];
  return {
    headAboveM: happens(random, 0.75) ? withersM * between(random, -0.05, 0.36) : between(random, -0.2, 0.6),
    headTurnDeg: between(random, -most, most),
    noseUpDeg: between(random, -16, 20),
  };
}

export type Going =
  { readonly walk: WalkPlan } | { readonly stand: StandPlan; readonly resting: Limb | null };

function walk(random: Random, of: Body, head: Carriage, jogs: boolean): WalkPlan {
  const h = of.withersM;
  const overtrackM = between(random, -0.2, 0.3);
  const walked = walkManner({
    strideLengthM: h * between(random, 0.75, 1.25),
    strideDurationS: between(random, 0.85, 1.35),
    overtrackM,
    lag: between(random, 0.14, 0.3),
    contralateral: between(random, 0.46, 0.54),
    dutyFore: between(random, 0.57, 0.69),
    dutyHind: between(random, 0.56, 0.68),
  });
  const jogLengthH = between(random, 0.95, 1.75);
  const jogged = jogManner({
    strideLengthM: h * jogLengthH,
    strideDurationS: between(random, 0.6, 0.85),
    overtrackM: between(random, -0.12, 0.1),
    // A longer way on the ground than a foreleg reaches would lay it down.
    duty: Math.min(between(random, 0.36, 0.52), 0.65 / jogLengthH),
  });
  const base = between(random, 0.08, 0.27);
  return {
    // Strides are alike (strideCv 0): no number is drawn from this seed.
    seed: 0,
    ...{ withersM: h, build: of.build, croupAboveM: of.croupAboveM, headAboveM: head.headAboveM },
    manner: {
      ...withinReach(of, jogs ? jogged : walked),
      spring: (jogs ? 1.7 : 1) * between(random, 0.6, 1.4),
    },
    ...{ strideCv: 0, bouts: [], headSwayDeg: 0, startM: 0 },
    nodM: h * between(random, 0.01, 0.09),
    headTurnDeg: between(random, -4, 4),
    baseWidthM: { fore: base, hind: base + between(random, -0.05, 0.05) },
    swingOutM: Object.fromEntries(LIMBS.map((l) => [l, between(random, -0.05, 0.06)])) as Record<
      Limb,
      number
    >,
  };
}

function stand(random: Random, of: Body, head: Carriage): StandPlan {
  const h = of.withersM;
  const square = happens(random, 0.25) ? 0.03 : 0.16;
  return {
    seed: Math.floor(random.uniform() * 1e6),
    ...{ withersM: h, build: of.build, croupAboveM: of.croupAboveM, headAboveM: head.headAboveM },
    headTurnDeg: between(random, -3, 3),
    baseWidthM: { fore: between(random, 0.12, 0.3), hind: between(random, 0.1, 0.32) },
    aheadM: {
      LF: h * between(random, -square, square),
      RF: h * between(random, -square, square),
      LH: h * between(random, -square, 1.1 * square),
      RH: h * between(random, -square, 1.1 * square),
    },
    ...{ shiftM: between(random, 0, 0.03), atM: 0 },
  };
}

export function going(random: Random, of: Body, head: Carriage): Going {
  const how = weighted(random, { walk: 50, jog: 20, stand: 30 });
  if (how !== 'stand') return { walk: walk(random, of, head, how === 'jog') };
  const rests = happens(random, 0.2);
  const resting = happens(random, 0.5) ? 'LH' : 'RH';
  return { stand: stand(random, of, head), resting: rests ? resting : null };
}

/** A hind leg at rest stands on its toe. */
const rested = (hoof: HoofPlace): HoofPlace => ({
  ...hoof,
  toe: { ...hoof.toe, x: hoof.toe.x + 0.1 },
  pitchRad: radians(42),
  pasternRad: radians(-12),
});

export function motionOf(go: Going): Motion {
  if ('walk' in go) return walking(go.walk);
  const motion = standing(go.stand);
  return {
    ...motion,
    hoofAt: (limb, timeS) => {
      const hoof = motion.hoofAt(limb, timeS);
      return limb === go.resting ? rested(hoof) : hoof;
    },
  };
}
