export { CAUTIONS } from '../advice/cautions.ts';
import { REASONS, type ReasonCode } from '../gait/reasons.ts';
import type { GroundDistance, LinePass, MeasureName, SidePass } from '../gait/types.ts';
import { type Limb, type PointName, limbSide } from '../points.ts';
import type { HandlerPlace } from '../gait/handlerPlace.ts';
import { type Units, formatDistance, formatHeight, formatTyped } from './format.ts';
import { LONGEST_M, type MarkName, SHORTEST_M } from './groundMarks.ts';
import type { Sample } from './samples.ts';
import { areLengthsRefused } from './shownMeasure.ts';

/** How the parts of the horse and the measures are called on the page. */
export const LIMB_WORDS: Record<Limb, string> = {
  LH: 'left hind',
  LF: 'left fore',
  RH: 'right hind',
  RF: 'right fore',
};

export const pointWords = (point: PointName): string => point.replaceAll('_', ' ');

export const isFar = (limb: Limb, pass: SidePass): boolean => limbSide(limb) !== pass.nearSide;

/** Beneath the table, where a range is shown. */
export const RANGE_WORDS =
  'The two numbers in brackets are the lowest and the highest value that are likely. They are meant to hold the true value 95 times in 100; that was checked on computed walks and drawn clips, not yet on a filmed horse whose prints were measured with a tape.';

export const FAR_NOTE = 'far side, less certain';

export interface MeasureWords {
  readonly title: string;
  /** One sentence. */
  readonly meaning: string;
}

export const MEASURE_WORDS: Record<MeasureName, MeasureWords> = {
  strideLengthM: {
    title: 'Stride length',
    meaning: 'How far along the ground from one print of a hoof to the next print of the same hoof.',
  },
  overtrackM: {
    title: 'Overtrack',
    meaning:
      'How far the hind hoof lands in front of the print of the fore hoof of the same side, toe to toe; below zero it lands behind.',
  },
  strideDurationS: {
    title: 'Stride duration',
    meaning:
      'Time from a hoof landing to the same hoof landing again, told by all landings and lift-offs; where no hoof is seen to do either twice, it is twice the step from a left hoof to the right one.',
  },
  cadencePerMin: { title: 'Strides a minute', meaning: 'Whole strides a minute at this tempo.' },
  speedMps: { title: 'Speed', meaning: 'How fast the body moves along the track.' },
  lateralLagFraction: {
    title: 'Hind to fore, same side',
    meaning:
      'Share of the stride between a hind hoof landing and the fore hoof of the same side landing; 25 % is an even four-beat walk, less leans to pacing, towards 50 % to jogging.',
  },
  dutyFactorFore: {
    title: 'Fore hoof on the ground',
    meaning: 'Share of the stride during which a fore hoof stands on the ground.',
  },
  dutyFactorHind: {
    title: 'Hind hoof on the ground',
    meaning: 'Share of the stride during which a hind hoof stands on the ground.',
  },
  headAboveWithersM: {
    title: 'Head above withers',
    meaning:
      'Mean height of the poll above the withers while the horse walks past; below zero the poll is carried lower than the withers.',
  },
  headNodM: {
    title: 'Head movement',
    meaning: 'How far the poll goes up and down against the withers within a stride.',
  },
  croupAboveWithersM: {
    title: 'Croup above withers',
    meaning: 'Mean height of the croup above the withers while walking; below zero the croup is lower.',
  },
  froude: {
    title: 'Speed for leg length',
    meaning:
      'Lets horses of different size be compared: the same number means the same speed for the length of the legs. Above about 0.35 horses tend to leave the walk. The field calls it the Froude number: speed squared over gravity times leg length, taken as 0.87 of the withers height.',
  },
};

export const phaseWords = (limb: Limb): MeasureWords => ({
  title: `${LIMB_WORDS[limb].charAt(0).toUpperCase()}${LIMB_WORDS[limb].slice(1)} lands`,
  meaning:
    limb === 'LH'
      ? 'The stride is counted from here.'
      : `Moment at which the ${LIMB_WORDS[limb]} lands, as a share of the stride counted from the left hind; an even walk goes 0, 25, 50, 75 % in the order left hind, left fore, right hind, right fore.`,
});

const HANDLER_PLACES: Record<HandlerPlace, string> = {
  ahead: 'in front of the shoulder',
  'at the shoulder': 'beside the shoulder',
  behind: 'behind the shoulder',
};

export const handlerWords = (place: HandlerPlace, share: number): string =>
  `The handler mostly walks ${HANDLER_PLACES[place]} of the horse: in ${Math.round(share * 100)}\u00a0% of the pictures in which the handler\u2019s feet are seen.`;

/** What stands in a row of the table; the whole sentence stands once above it. */
export const SHORT_REASONS: Record<ReasonCode, string> = {
  withersHeightMissing: 'needs the height at the withers',
  distanceUnread: 'marked distance gives no scale',
  noHorse: 'no horse found',
  noPass: 'no walk past, away or back',
  tooFewStrides: 'less than one whole stride seen',
  stridesUnsure: 'steps and way do not agree',
  stepsDisagree: 'steps too unlike',
  hoofHidden: 'hooves hidden or blurred',
  farPair: 'swings behind the nearer pair',
  pointHidden: 'points hidden',
  scaleUnsure: 'no scale',
  groundUnsure: 'ground not followed',
  tooOblique: 'too oblique',
  oblique: 'oblique',
  heightsDisagree: 'height and distance disagree',
  anotherLeftOut: 'another horse left out',
  notAWalk: 'not a walk',
  mixedGaits: 'walk and jog',
  slowMotion: 'slow motion',
  tooFewFrames: 'too few pictures a second',
};

/** What a warning about a pass means for its numbers: some are less certain, or none is given. */
export function warningWords(code: ReasonCode, pass: SidePass): string {
  switch (code) {
    case 'tooFewFrames':
      return 'There are few pictures a second in this clip, so the hooves are timed coarsely and the intervals are wide. Film at 60 a second if the phone can.';
    case 'oblique':
      return `The horse does not walk square to the camera${angleWords(pass)}: lengths along the track are less certain.`;
    case 'tooOblique':
      return `The horse walks too much towards or away from the camera${angleWords(pass)}: no lengths are given.`;
    case 'groundUnsure':
      return areLengthsRefused(pass)
        ? `${REASONS.groundUnsure} No lengths are given: film from a camera that stands still, with ground or a fence in the picture on which something can be made out.`
        : 'The camera moved and little still ground was seen: lengths along the track are less certain.';
    case 'hoofHidden':
      return 'A hoof of the near side was hidden or blurred for much of this pass: look at the bars of the footfalls and put them right where they are wrong.';
    case 'notAWalk':
      return 'These steps do not have the beat or the speed of a walk. Look whether left and right legs were mistaken for each other; if not, the horse was jogging.';
    case 'slowMotion':
      return 'This looks like slow motion: times and speed count only if the clip plays at its true speed.';
    default:
      return REASONS[code];
  }
}

const angleWords = ({ obliquityDeg }: SidePass): string =>
  obliquityDeg === null ? '' : `, about ${Math.abs(obliquityDeg).toFixed(0)}\u00b0 off`;

export const drawnWords = ({ withersM }: Sample, units: Units): string =>
  `This clip is drawn by a program, not filmed: its numbers are those of the drawing and of no real horse. The drawn horse stands ${formatTyped(withersM, units)} at the withers.`;

export const WHAT_IS_MEASURED =
  'Measured are walks past the camera, straight away from it and straight back to it; a stand and a turn are not.';

export const NO_HORSE_ADVICE = [
  'Film in good light, nearer to the horse, with the whole horse in the picture.',
  'Is there a horse in the clip all the same? Go to a picture in which it is well seen and use “Another horse”.',
  'Else take another clip.',
] as const;

export const NO_PASS_ADVICE = [
  'Film from the side, square to the horse\u2019s path, the whole horse in the picture for three strides.',
  'For another horse in the clip, go to a picture in which it is well seen and use “Another horse”.',
] as const;

export const ON_ITS_SIDE =
  'The horse is taller than wide in this clip: should the clip lie on its side, turn it upright on the phone first.';

const POINTS_THAT_HELP = [
  '',
  'the point that helps',
  'the two points that help',
  'the three points that help',
];
export const tourOfferWords = (points: number): string => `Correct ${POINTS_THAT_HELP[points] ?? ''} most`;

export const tourReason = ({ kind }: SidePass | LinePass): string =>
  `Some hooves do not fit the others: a step unlike the rest, or a point off its toe. Points that are off, put right, make ${kind === 'side' ? 'the overtrack' : 'the widths'} surer.`;

export const tourStepWords = (point: PointName, number: number, of: number): string =>
  `Point ${number} of ${of}: ${pointWords(point)}. If it is not on the tip of the toe, drag it there.`;

export const tourDoneWords = (points: number): string =>
  points === 1 ? 'That was the point.' : `Those were the ${points} points.`;

export const MARK_WORDS: Record<MarkName, string> = { from: 'first flag', to: 'second flag' };

export const MARK_ADVICE =
  'Set the flags on two marks on the ground along the track, as far apart as can be seen, such as two cones or poles beside the track.';

export const SET_BOTH_FLAGS =
  'Move both flags onto your two marks first, or tick that they stand there already.';

export const distanceLimitWords = (units: Units): string =>
  `Type in how far apart the marks are, between ${formatDistance(SHORTEST_M, units)} and ${formatDistance(LONGEST_M, units)}.`;

/** Heights at the withers that the page takes, m: from the smallest ponies to above the tallest horses. */
const LOWEST_M = 0.5;
const HIGHEST_M = 2.2;
export const isHeight = (heightM: number): boolean => heightM >= LOWEST_M && heightM <= HIGHEST_M;

/** Said beneath the field for what is no height of a horse; the height that still counts is named. */
export function wrongHeightWords(units: Units, inForceM: number | null): string {
  const wanted =
    units === 'metric'
      ? 'In cm, e.g. 162; between 50 and 220.'
      : 'In hands and inches, e.g. 15 hands 2 inches; between 5 and 21 hands.';
  return inForceM === null ? wanted : `${wanted} Until then ${formatTyped(inForceM, units)} counts.`;
}

/** What the lengths of a pass in metres rest on. */
export type Scale =
  | { readonly by: 'nothing' }
  | { readonly by: 'typed height' }
  | { readonly by: 'marked distance'; readonly withersM: number; readonly typed: boolean }
  /** A distance is marked but no scale could be had from it; a typed height then stands. */
  | { readonly by: 'unread distance'; readonly typed: boolean };

export function scaleOf(typedM: number | null, known: GroundDistance | null, pass: SidePass | null): Scale {
  const typed = typedM !== null;
  if (!known) return { by: typed ? 'typed height' : 'nothing' };
  const withersM = pass?.withersM ?? null;
  if (withersM === null || withersM === typedM) return { by: 'unread distance', typed };
  return { by: 'marked distance', withersM, typed };
}

/** Said beneath the field for the height. */
export function scaleWords(scale: Scale, units: Units): string {
  switch (scale.by) {
    case 'nothing':
      return 'Type it in: without it there are no lengths in metres, only in withers heights.';
    case 'typed height':
      return 'Lengths are as good as this height. It is kept with the clip; type in another one for another horse.';
    case 'marked distance':
      return [
        `Scale from the marked distance: the withers stand at ${formatHeight(scale.withersM, units)}.`,
        ...(scale.typed ? ['The height typed in is not used.'] : []),
      ].join(' ');
    case 'unread distance':
      return `The marked distance gives no scale here: the marks are too close together or not both on the ground, no horse would be of the height that they give, or the horse itself could not be measured against the ground. ${
        scale.typed
          ? 'The height typed in is used instead.'
          : 'Move the marks, or type in the height; until then there are no lengths in metres.'
      }`;
  }
}

/** Why nothing in the picture can be moved just now. */
export const NOT_MOVED =
  'Nothing was moved: the picture asked for is still coming. Try again once it is there.';
