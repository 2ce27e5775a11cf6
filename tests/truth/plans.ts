/** What a drawn clip is made of, and the sample clips. */
import type { Side } from '../../src/points.ts';
import type { CameraPlan } from './camera.ts';
import { walking, type Motion } from './motion.ts';
import { jogManner, walkManner, USUAL_BUILD, type WalkPlan } from './gait.ts';
import { CLOTHES, type HandlerPlan } from './handler.ts';
import { COATS, type Coat } from './horseSkin.ts';
import { STRAIGHT, type PathPlan } from './path.ts';
import { standing, type StandPlan } from './stand.ts';

export interface ScenePlan {
  readonly seed: number;
  readonly ground: 'sand' | 'grass' | 'tarmac';
  /** Beyond the yard. */
  readonly beyond: 'trees' | 'hall' | 'hills';
  readonly fence: boolean;
  /** Where the light comes from: degrees to the left of the yard's x, and above the horizon. */
  readonly sunHeadingDeg: number;
  readonly sunUpDeg: number;
  /** Without a sun: soft light, hardly a shadow. */
  readonly overcast: boolean;
  /** Dust at the hooves, 0 to 1. */
  readonly dust: number;
}

export interface ExposurePlan {
  readonly shutterS: number;
  /** Pictures within the exposure that are summed up for motion blur. */
  readonly pictures: number;
  /** Brightness of all, 1 = as lit. */
  readonly gain: number;
  /** SD of the sensor's noise, grey levels. */
  readonly noise: number;
  readonly kbps: number;
}

export interface ClipPlan {
  readonly going: { readonly walk: WalkPlan } | { readonly stand: StandPlan };
  readonly path: PathPlan;
  readonly camera: CameraPlan;
  readonly coat: Coat;
  readonly handler: HandlerPlan | null;
  readonly scene: ScenePlan;
  readonly exposure: ExposurePlan;
}

export const motionOf = ({ going }: ClipPlan): Motion =>
  'walk' in going ? walking(going.walk) : standing(going.stand);

export const lastsS = ({ camera }: ClipPlan): number => camera.frames / camera.fps;

/** When picture i is taken (its middle row): steady, or wavering as phones do. */
export const frameTimeS = ({ fps, timeJitter }: CameraPlan, i: number): number =>
  (i + timeJitter * Math.sin(1.7 * i)) / fps;

/** A tripod beside a straight path along the yard's x, square to it unless turned. */
export function besideThePath(of: {
  readonly sees: Side;
  readonly distanceM: number;
  readonly heightM: number;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly fps: number;
  readonly frames: number;
}): CameraPlan {
  const side = of.sees === 'left' ? 1 : -1;
  const { widthPx, heightPx, fps, frames } = of;
  return {
    ...{ widthPx, heightPx, fps, frames },
    timeJitter: 0,
    focalShare: 0.75,
    placeM: [0, side * of.distanceM, of.heightM],
    speedMps: [0, 0, 0],
    headingDeg: -90 * side,
    follow: false,
    tiltDeg: 0,
    shakeDeg: 0,
    shakeM: 0,
    readoutS: 0,
    seed: 1,
  };
}

export const HANDLER: HandlerPlan = { side: 'left', aheadH: 0.56, asideM: 0.95, clothes: CLOTHES };
export const SUNNY_SAND: ScenePlan = {
  seed: 11,
  ground: 'sand',
  beyond: 'trees',
  fence: true,
  sunHeadingDeg: -60,
  sunUpDeg: 52,
  overcast: false,
  dust: 0,
};
export const BRIGHT: ExposurePlan = { shutterS: 1 / 300, pictures: 2, gain: 1, noise: 1.5, kbps: 3000 };

const FREE_WALK: WalkPlan = {
  seed: 11,
  withersM: 1.62,
  build: USUAL_BUILD,
  manner: walkManner({
    strideLengthM: 1.74,
    strideDurationS: 1.08,
    overtrackM: 0.11,
    lag: 0.235,
    contralateral: 0.5,
    dutyFore: 0.63,
    dutyHind: 0.62,
  }),
  strideCv: 0,
  bouts: [],
  headAboveM: 0.1,
  nodM: 0.1,
  headTurnDeg: 0,
  headSwayDeg: 0,
  croupAboveM: -0.015,
  baseWidthM: { fore: 0.18, hind: 0.18 },
  swingOutM: { LH: 0, LF: 0, RH: 0, RF: 0 },
  startM: -3.85,
};

const HURRIED: WalkPlan = {
  ...FREE_WALK,
  seed: 12,
  withersM: 1.58,
  manner: walkManner({
    strideLengthM: 1.42,
    strideDurationS: 0.94,
    overtrackM: -0.06,
    lag: 0.205,
    contralateral: 0.5,
    dutyFore: 0.63,
    dutyHind: 0.62,
  }),
  strideCv: 0.01,
  headAboveM: 0.34,
  nodM: 0.06,
  startM: -3.7,
};

const JOGGING: WalkPlan = {
  ...FREE_WALK,
  seed: 13,
  strideCv: 0.01,
  bouts: [
    {
      from: 1,
      strides: 2,
      manner: jogManner({ strideLengthM: 2.1, strideDurationS: 0.72, overtrackM: 0, duty: 0.44 }),
    },
  ],
  headAboveM: 0.2,
  startM: -4.6,
};

/** Wider in front than behind, both forelegs winging, the head a little towards the handler. */
const CROOKED: WalkPlan = {
  ...FREE_WALK,
  seed: 14,
  strideCv: 0.01,
  headTurnDeg: 4,
  headSwayDeg: 3,
  baseWidthM: { fore: 0.2, hind: 0.16 },
  swingOutM: { LH: 0, LF: 0.045, RH: -0.01, RF: 0.035 },
  startM: 0.3,
};

/** Away from the camera, past it and back: 5.5 m, 8.4 m and 5.5 m with two turns; the way back in waves. */
const TRIANGLE: PathPlan = {
  fromM: [-2, -5.6],
  headingDeg: 118,
  legs: [
    { lengthM: 5.5, turnDeg: 0 },
    { lengthM: 3.1, turnDeg: -118 },
    { lengthM: 8.4, turnDeg: 0 },
    { lengthM: 3.1, turnDeg: -118 },
    { lengthM: 5.5, turnDeg: 0 },
  ],
  wander: [{ sizeM: 0.22, lengthM: 4.2, phase: 0.4, fromM: 20.3, toM: 30 }],
};

const picture = { widthPx: 1280, heightPx: 720 } as const;
const tripod = { ...picture, sees: 'right', distanceM: 9, heightM: 1.2 } as const;

export const CLIPS: Readonly<Record<string, ClipPlan>> = {
  'side-pass': {
    going: { walk: FREE_WALK },
    path: STRAIGHT,
    camera: besideThePath({ ...tripod, fps: 60, frames: 288 }),
    coat: COATS.chestnut,
    handler: HANDLER,
    scene: SUNNY_SAND,
    exposure: BRIGHT,
  },
  'side-pass-hurried': {
    going: { walk: HURRIED },
    path: STRAIGHT,
    camera: besideThePath({ ...tripod, sees: 'left', fps: 60, frames: 288 }),
    coat: { ...COATS.bay, blaze: true, socks: ['LH'] },
    handler: HANDLER,
    scene: { ...SUNNY_SAND, seed: 12, sunHeadingDeg: 50, beyond: 'hall' },
    exposure: BRIGHT,
  },
  'side-pass-jog-steps': {
    going: { walk: JOGGING },
    path: STRAIGHT,
    camera: besideThePath({ ...tripod, fps: 60, frames: 270 }),
    coat: { ...COATS.grey },
    handler: HANDLER,
    scene: { ...SUNNY_SAND, seed: 13, ground: 'grass', beyond: 'hills' },
    exposure: BRIGHT,
  },
  triangle: {
    going: { walk: CROOKED },
    path: TRIANGLE,
    camera: {
      ...besideThePath({ ...tripod, fps: 30, frames: 480 }),
      follow: true,
      shakeDeg: 0.12,
      shakeM: 0.005,
      readoutS: 0.012,
    },
    coat: { ...COATS.darkBay, stockings: ['RH', 'LH'], blaze: true },
    handler: HANDLER,
    scene: { ...SUNNY_SAND, seed: 14, ground: 'tarmac', beyond: 'trees' },
    exposure: { ...BRIGHT, kbps: 1100 },
  },
  standing: {
    going: {
      stand: {
        seed: 15,
        withersM: 1.55,
        build: USUAL_BUILD,
        croupAboveM: 0.02,
        headAboveM: 0.32,
        headTurnDeg: 3,
        baseWidthM: { fore: 0.2, hind: 0.18 },
        // Open towards the viewer: the near hind back, the near fore a little ahead of the far one.
        aheadM: { LF: 0.04, RF: 0, LH: -0.12, RH: 0.12 },
        shiftM: 0.012,
        atM: 0.4,
      },
    },
    path: STRAIGHT,
    camera: besideThePath({ ...tripod, sees: 'left', distanceM: 5.5, fps: 30, frames: 150 }),
    coat: { ...COATS.palomino, socks: ['LF', 'RH'] },
    handler: { ...HANDLER, aheadH: 1.05, asideM: 0.35 },
    scene: { ...SUNNY_SAND, seed: 15, ground: 'tarmac', beyond: 'hall' },
    exposure: { ...BRIGHT, kbps: 1500 },
  },
};
