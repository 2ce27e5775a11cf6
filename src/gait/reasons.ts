/** The closed set of reasons why something can't be measured, and what to tell the user. */
export const REASONS = {
  withersHeightMissing: 'Type in the height at the withers: without it the tool has no scale.',
  distanceUnread:
    'No scale could be had from the marked distance: move the marks, or type in the height at the withers.',
  noHorse: 'No horse was found in this clip.',
  noPass: 'The horse walks neither past the camera side-on, nor away from it, nor back, in this clip.',
  tooFewStrides: 'Fewer than one whole stride of this hoof was seen.',
  stridesUnsure: 'The steps found do not fit the way that the body went.',
  stepsDisagree:
    'The steps found differ more from each other than those of a walk do: legs may have been taken for each other.',
  hoofHidden: 'The hooves were hidden or blurred too often to time them.',
  farPair: 'The pair farther from the camera swings behind the nearer one: its swing is not measured.',
  pointHidden: 'The points needed were hidden too often.',
  scaleUnsure: 'The horse could not be measured against the ground, so there is no scale.',
  groundUnsure: 'Too little still ground was seen to tell how the camera moved.',
  tooOblique: 'The horse walks too much towards or away from the camera for lengths along the track.',
  oblique:
    'The horse walks somewhat towards or away from the camera: lengths along the track are less certain.',
  notAWalk: 'These steps are not those of a walk.',
  mixedGaits: 'Some steps are walked and some jogged: their mean would be that of neither.',
  slowMotion: 'The clip seems to play slower than it was filmed, so nothing can be said of times and speed.',
  tooFewFrames: 'Too few pictures a second to time the hooves.',
  heightsDisagree:
    'The height that was typed in and the marked distance do not fit each other: one of them is wrong. The marked distance counts.',
  anotherLeftOut:
    'A horse came into the picture again, or another one did. Only the one that walked farthest past the camera is measured: cut the clip in two to measure both.',
} as const;

export type ReasonCode = keyof typeof REASONS;
