import { wrongPlane } from '../gait/geometry.ts';
import { BASE_WIDTH_H, FOCAL_SHARE } from '../gait/scale.ts';
import { USUAL_STRIDE_H } from '../gait/series.ts';
import { CAUTIONS } from './cautions.ts';
import { WANTED } from './wanted.ts';

/** How to film a led horse, as data for one page: numbers from the core, and what to do. */

/** The picture that is reckoned with, px, and the heights of things, withers heights: common practice, no source. */
const PICTURE = { longPx: 1920, shortPx: 1080 } as const;
/** Nose to tail at a walk, and the ears of a raised head: a body is 1.08 - 1.15 H long (Acta Vet Scand 2019, s13028-019-0498-5). */
const LENGTH_H = 1.7;
const EARS_H = 1.35;
/**
 * At the elbow a phone that has the horse in the middle of its picture looks level. Held level its height hardly counts;
 * held at eye height and aimed at the horse it makes strides .6 % longer from 8 m, 1.2 % from 5.5 m (computed walks).
 */
const ELBOW_H = 0.55;
/** Share of the stride that a hoof stands (Hodson et al. 2000, 2001, EVJ, from memory). */
const DUTY = 0.63;
/** Room around the horse, share; along its way less, as it is clear of the picture's edge but for a moment. */
const ROOM = 1.1;
const WAY_ROOM = 1.05;
/** Hind hooves reach about 2 m; nobody is within twice that of them: common practice, no source. */
const KICK_M = 4;
/** A hoof half a base width nearer than the horse's middle may look so much larger in a stand. */
const STAND_PERSPECTIVE = 0.015;
/** A swinging hoof goes up to three withers heights a second; a hundredth of one is as fine as points are seen. */
const HOOF_HPS = 3;
const SHARP_H = 0.01;

export interface FilmingNumbers {
  readonly withersM: number;
  /** Camera above the ground, m: from the elbow to the belly's line, for all but the ways away and back. */
  readonly cameraHeightM: number;
  readonly side: {
    /** Nearest from which most phones have the horse and all its strides in the picture; farthest for its size. */
    readonly nearestM: number;
    readonly farthestM: number;
    readonly strides: number;
    /** Way on the ground that is in the picture then, m. */
    readonly wayM: number;
    /** Height at the withers in the picture from the nearest, px. */
    readonly heightPx: number;
  };
  /** Distances at which the ways away and back begin and end. */
  readonly line: {
    readonly nearestM: number;
    readonly farthestM: number;
    readonly strides: number;
    /** On a triangle they lead to the ends of the side line: so far from the camera, with so many strides. */
    readonly cornerM: number;
    readonly cornerStrides: number;
  };
  readonly stand: { readonly distanceM: number; readonly heightPx: number };
  readonly picturesPerS: number;
  readonly leastHeightPx: number;
  /** Longest exposure in which a hoof in the air is not smeared, s. */
  readonly exposureS: number;
}

/** A phone of a longer focal length sees less: nearly all see what this one does. */
const LONG_FOCAL = FOCAL_SHARE.value + FOCAL_SHARE.sd;

/** Height at the withers in the picture from so far away, px, for a usual phone. */
const heightPxAt = (withersM: number, distanceM: number): number =>
  (FOCAL_SHARE.value * PICTURE.longPx * withersM) / distanceM;

/** For a horse of that height at the withers, m. */
export function filmingNumbers(withersM: number): FilmingNumbers {
  // From the landing before the first stride to the end of the stance after the last one.
  const wayM = withersM * (LENGTH_H + (WANTED.strides + DUTY) * USUAL_STRIDE_H);
  const farthestM = (FOCAL_SHARE.value * PICTURE.longPx * withersM) / WANTED.heightPx;
  const nearestM = LONG_FOCAL * WAY_ROOM * wayM;
  const wholeM = (EARS_H * ROOM * withersM * LONG_FOCAL * PICTURE.longPx) / PICTURE.shortPx;
  const beginM = Math.max(KICK_M, wholeM);
  const cornerM = Math.hypot(wayM / 2, nearestM);
  const stridesTo = (endM: number): number => Math.round((endM - beginM) / (USUAL_STRIDE_H * withersM));
  const standM = Math.max(
    withersM * LENGTH_H * ROOM * LONG_FOCAL,
    (withersM * wrongPlane(BASE_WIDTH_H.value / 2, 1)) / STAND_PERSPECTIVE,
  );
  return {
    withersM,
    cameraHeightM: ELBOW_H * withersM,
    side: { nearestM, farthestM, strides: WANTED.strides, wayM, heightPx: heightPxAt(withersM, nearestM) },
    line: {
      ...{ nearestM: beginM, farthestM, strides: stridesTo(farthestM) },
      ...{ cornerM, cornerStrides: stridesTo(cornerM) },
    },
    stand: { distanceM: standM, heightPx: heightPxAt(withersM, standM) },
    picturesPerS: WANTED.picturesPerS,
    leastHeightPx: WANTED.heightPx,
    exposureS: SHARP_H / HOOF_HPS,
  };
}

export interface CardPart {
  readonly of: 'all' | 'side' | 'line' | 'stand' | 'handler' | 'cautions';
  readonly title: string;
  readonly lines: readonly string[];
}

export interface FilmingCard {
  readonly numbers: FilmingNumbers;
  readonly parts: readonly CardPart[];
}

/** What to do, with the lengths in the user's own unit: `format` gets metres. */
export function filmingCard(withersM: number, format: (lengthM: number) => string): FilmingCard {
  const numbers = filmingNumbers(withersM);
  const parts = [phone(numbers), side(numbers, format), line(numbers, format), stand(numbers, format)];
  return { numbers, parts: [...parts, HANDLER, cautions(numbers, format)] };
}

const phone = ({ picturesPerS, exposureS }: FilmingNumbers): CardPart => ({
  of: 'all',
  title: 'The phone',
  lines: [
    `Lay the phone on its side; ${picturesPerS} pictures a second, 1080 lines or more, no slow motion, no zoom, no filter.`,
    'Put it on a tripod or a post if you can, level, with its grid switched on.',
    `Film in bright light with the sun behind you: a hoof in the air is smeared in more than 1/${Math.round(1 / exposureS)} of a second.`,
    'Choose ground on which hooves can be seen, short grass, sand or asphalt, and no rail before the line.',
  ],
});

const side = ({ side: s, cameraHeightM }: FilmingNumbers, format: (m: number) => string): CardPart => ({
  of: 'side',
  title: 'Walking past',
  lines: [
    `Stand ${format(s.nearestM)} from the middle of the line, square to it, and no farther than ${format(s.farthestM)}.`,
    `From there ${s.strides} whole strides are in the picture, ${format(s.wayM)} of ground; mark both ends with cones.`,
    `Hold the lens about ${format(cameraHeightM)} high, as the horse\u2019s elbow, so that it need not look down; do not turn the phone.`,
    'Let the horse walk in on one side and out on the other, once each way, and then once more.',
  ],
});

const line = ({ line: l }: FilmingNumbers, format: (m: number) => string): CardPart => ({
  of: 'line',
  title: 'Away and back',
  lines: [
    'Stand at the end of the line, so that the horse walks straight away from the lens and straight back to it.',
    `Begin ${format(l.nearestM)} in front of the phone and turn at ${format(l.farthestM)}: about ${l.strides} strides each way.`,
    `On a triangle the ways lead to the ends of the side line, ${format(l.cornerM)} from the phone: about ${l.cornerStrides} strides. Turn the phone on its spot.`,
    'Step out of the way before the horse is back at the beginning of the line.',
  ],
});

const stand = ({ stand: s, cameraHeightM }: FilmingNumbers, format: (m: number) => string): CardPart => ({
  of: 'stand',
  title: 'Standing',
  lines: [
    `Stand ${format(s.distanceM)} away, square to the middle of the trunk, the lens ${format(cameraHeightM)} high.`,
    'Let the horse stand on level ground with all four legs to be seen, and film it for some seconds from either side.',
  ],
});

const HANDLER: CardPart = {
  of: 'handler',
  title: 'The handler',
  lines: [
    'Walk beside the shoulder, at one pace from end to end, and look where you are going.',
    'Walk on the side away from the camera when the horse goes past, if the rules allow it.',
    'Turn the horse away from yourself, and let it walk straight again before it is filmed.',
  ],
};

const cautions = ({ line: l }: FilmingNumbers, format: (m: number) => string): CardPart => ({
  of: 'cautions',
  title: 'Safety',
  lines: [
    ...CAUTIONS.handling,
    `One person leads and another films. Nobody, and no tripod, in the horse\u2019s way or within ${format(l.nearestM)} of its hind legs.`,
    'Ask whether filming is allowed, and keep other people out of the picture.',
    `${CAUTIONS.notAnExamination} ${CAUTIONS.vet}`,
  ],
});
