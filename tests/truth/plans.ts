/** The sample clips: how the horse walks and how it is filmed. */
import type { Side } from '../../src/points.ts';
import type { CameraPlan } from './camera.ts';
import type { WalkPlan } from './gait.ts';

export interface ClipPlan {
  readonly walk: WalkPlan;
  readonly camera: CameraPlan;
  /** On which side of the horse the handler walks. */
  readonly handlerSide: Side;
  /** Pictures within the exposure that are summed up for motion blur, and the exposure as a share of a frame. */
  readonly blurPictures: number;
  readonly exposureShare: number;
}

export const CLIPS: Readonly<Record<string, ClipPlan>> = {
  'side-pass': {
    walk: {
      seed: 11,
      withersM: 1.62,
      strideLengthM: 1.74,
      strideDurationS: 1.08,
      overtrackM: 0.11,
      lag: 0.235,
      contralateral: 0.5,
      dutyFore: 0.63,
      dutyHind: 0.62,
      headAboveM: 0.1,
      nodM: 0.1,
      croupAboveM: -0.015,
      baseWidthM: 0.18,
      startM: -3.85,
    },
    camera: {
      widthPx: 1280,
      heightPx: 720,
      fps: 60,
      frames: 288,
      focalShare: 0.75,
      distanceM: 9,
      heightM: 1.2,
      alongM: 0,
      sees: 'right',
      yawDeg: 0,
      tiltDeg: 0,
    },
    handlerSide: 'left',
    blurPictures: 2,
    exposureShare: 0.2,
  },
};
