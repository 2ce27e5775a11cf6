import type { FilmingNumbers } from './filmingCard.ts';
import type { Finding } from './takeCheck.ts';
import type { TakeCause } from './faults.ts';
import type { Moment, MomentKind } from './moments.ts';

/** What the page says of moments and findings: what was seen, and one sentence on what to do next time. */
export interface AdviceWords {
  readonly seen: string;
  readonly next: string;
}

const percent = (share: number): string => `${Math.round(100 * Math.abs(share))}\u00a0%`;

/** Where the head of a moment is turned to. */
function headWords({ size, handlerSide }: Moment): string {
  const side = size.value > 0 ? 'left' : 'right';
  if (handlerSide === undefined) return `The head is turned to the horse\u2019s ${side}.`;
  return handlerSide === side
    ? `The head is turned towards the handler, to the horse\u2019s ${side}.`
    : `The head is turned away from the handler, to the horse\u2019s ${side}.`;
}

const MOMENT_SEEN: Readonly<Record<MomentKind, (moment: Moment) => string>> = {
  headTurned: headWords,
  headHigh: () => 'The poll is carried well above the withers.',
  paceChange: ({ size: { value } }) =>
    value > 0
      ? `The walk gets quicker from one stride to the next, by about ${percent(Math.expm1(value))}.`
      : `The walk gets slower from one stride to the next, by about ${percent(Math.expm1(value))}.`,
  jog: () => 'These steps are jogged, in two beats, not walked in four.',
  handlerAhead: () => 'The handler walks in front of the shoulder.',
  legsHidden: () => 'The handler hides a leg on the side of the camera.',
};

const MOMENT_NEXT: Readonly<Record<MomentKind, string>> = {
  headTurned:
    'Carry the hand so that the nose stays in the middle of the chest, look ahead and give with the rope as the head swings.',
  headHigh:
    'Give the rope and lower the hand, so that the horse may stretch its neck and carry the ears about as high as the withers.',
  paceChange: 'Find the walk before the horse passes the camera, and keep your own steps even to the end.',
  jog: 'Ask for less, wait for four clear beats and set out anew before the camera.',
  handlerAhead: 'Stay beside the shoulder, so that the horse walks past you rather than being pulled.',
  legsHidden: 'Lead on the side away from the camera, or let the other side be filmed.',
};

export const momentWords = (moment: Moment): AdviceWords => ({
  seen: MOMENT_SEEN[moment.kind](moment),
  next: MOMENT_NEXT[moment.kind],
});

const sized = (finding: Finding, of: (value: number) => string, otherwise: string): string =>
  finding.size === null ? otherwise : of(Math.abs(finding.size.value));

/** A length rests on fewer strides than were seen where hooves are hidden. */
const stridesWords = ({ passKind, size }: Finding): string => {
  const strides = size && COUNTS[Math.round(size.value)];
  if (!strides) return 'Few whole strides were seen.';
  return `The ${passKind === 'side' ? 'overtrack' : 'base width in front'} rests on only ${strides}.`;
};
const COUNTS = [null, 'one stride', 'two strides'];

/** From a tenth to nine tenths of a step that a Gaussian has blurred, in its SDs: an edge as it is seen. */
const SMEAR = 2.56;

const FINDING_SEEN: Readonly<Record<TakeCause, (finding: Finding) => string>> = {
  oblique: (f) => {
    const off =
      f.passKind === 'side' ? 'off square to the camera' : 'off the way straight to or from the camera';
    return sized(
      f,
      (deg) => `The horse walked about ${deg.toFixed(0)}\u00b0 ${off}.`,
      `The horse walked ${off}.`,
    );
  },
  bent: () => 'The horse did not walk on a straight line.',
  tilted: () => 'Body and hooves seem to go different lengths: the camera may look down or up at the horse.',
  notLevel: (f) =>
    sized(f, (deg) => `The picture or the ground leans by ${deg.toFixed(0)}\u00b0.`, 'The picture leans.'),
  tooNear: (f) =>
    sized(
      f,
      (heights) => `The camera stood about ${heights.toFixed(1)} times the height at the withers away.`,
      'The camera stood too near.',
    ),
  small: (f) =>
    sized(
      f,
      (px) =>
        `The horse is small in the picture: ${px.toFixed(0)} pixels at the ${f.passKind === 'away' ? 'croup' : 'withers'}.`,
      'The horse is small in the picture.',
    ),
  blurred: (f) =>
    sized(
      f,
      (px) => `The horse is blurred: its edges are smeared over ${(SMEAR * px).toFixed(0)} pixels.`,
      'The horse is blurred.',
    ),
  fewPictures: (f) =>
    sized(f, (fps) => `There are ${fps.toFixed(0)} pictures a second.`, 'There are few pictures a second.'),
  legsHidden: (f) =>
    sized(
      f,
      (share) => `A near hoof is missing in ${percent(share)} of the pictures.`,
      'Near hooves are hidden.',
    ),
  groundLost: () => 'The camera moved, and too little still ground was seen to follow it well.',
  fewStrides: stridesWords,
  withersMissing: () => 'The height at the withers is not given.',
  noScale: () => 'The horse could not be measured against the ground.',
};

const FINDING_NEXT: Readonly<Record<Exclude<TakeCause, 'tooNear'>, string>> = {
  oblique:
    'Lay out the line with two cones and stand square to its middle, for the ways away and back at its end.',
  bent: 'Lead along a straight edge, such as a kerb, a board or a rope on the ground, and look at a mark ahead.',
  tilted:
    'Hold the phone so that it looks neither down nor up, its lens about as high as the horse\u2019s elbow.',
  notLevel:
    'Switch on the grid of the phone\u2019s camera and keep its lines along the ground, which should be level.',
  small:
    'Go nearer, until the horse stands about a quarter as high as the picture, and do not crop the clip.',
  blurred:
    'Wipe the lens, tap the horse to focus on it, film in more light or with a shorter exposure, and do not zoom in.',
  fewPictures: 'Choose 60 pictures a second in the phone\u2019s camera.',
  legsHidden:
    'Lead on the side away from the camera, on short grass or sand, with no rail or post before the line.',
  groundLost:
    'Put the phone on a tripod or a post, with ground or a fence in the picture on which something can be made out.',
  fewStrides:
    'Stand farther away, so that three whole strides fit into the picture, and let the horse walk through to its edges.',
  withersMissing: 'Measure the height at the withers with a stick on level ground and type it in.',
  noScale: 'Keep the whole horse in the picture, ears to hooves.',
};

/** What is done otherwise on ways away and back. */
const LINE_NEXT: Readonly<Partial<Record<TakeCause, string>>> = {
  fewStrides:
    'Let the horse walk a longer way, three whole strides and more straight from the camera and straight back.',
  small: 'Turn the horse back sooner, and do not crop the clip.',
  legsHidden: 'Lead beside the shoulder, on short grass or sand, and stand in line with the horse.',
};

/** The filming card that a horse is to be filmed by; `format` tells a length in m in the user's own unit. */
export interface OwnCard {
  readonly numbers: FilmingNumbers;
  readonly format: (lengthM: number) => string;
}

function nextWords({ cause, passKind }: Finding, { numbers: { side }, format }: OwnCard): string {
  if (cause === 'tooNear')
    return `Stand ${format(side.nearestM)} from the line, and no farther than ${format(side.farthestM)}.`;
  return (passKind === 'side' ? null : LINE_NEXT[cause]) ?? FINDING_NEXT[cause];
}

export const findingWords = (finding: Finding, card: OwnCard): AdviceWords => ({
  seen: FINDING_SEEN[finding.cause](finding),
  next: nextWords(finding, card),
});

/** In place of moments to lead better. */
export const ONLY_RIDDEN =
  'Nobody leads the horse in this clip, it is ridden: nothing can be said of the leading, and what is measured of a ridden horse is not what it shows in hand.';

/** Beside a finding that has no cost, nor refuses anything. */
export const NO_COST = 'What this costs in the numbers is not known: their ranges have no term for it.';

/** Said once beneath the findings. */
export const SMEAR_NOT_TOLD =
  'Whether a hoof in the air is smeared is not told here: look at one, and film in better light if it is.';
