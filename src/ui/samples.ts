/** The drawn clips that come with the page: see sample-clips/README.md. */
export interface Sample {
  readonly url: string;
  readonly fileName: string;
  readonly title: string;
  /** The horse, and what is to be seen of it. */
  readonly about: string;
  /** Height at the withers that the horse is drawn with, m. */
  readonly withersM: number;
  /** What the page can't tell of it; said beside its numbers. */
  readonly unmeasured?: string;
  /** Said in place of numbers, of a clip of which nothing is measured. */
  readonly noPassWords?: string;
}

const drawn = (name: string, words: Omit<Sample, 'url' | 'fileName'>): Sample => ({
  url: `samples/${name}.mp4`,
  fileName: `${name}.mp4`,
  ...words,
});

export const SAMPLES: readonly Sample[] = [
  drawn('side-pass', {
    title: 'A free walk past',
    about: 'chestnut, long strides that overtrack',
    withersM: 1.62,
  }),
  drawn('side-pass-hurried', {
    title: 'A short, hurried walk past',
    about: 'bay, head high, hind hooves short of the fore prints',
    withersM: 1.58,
  }),
  drawn('side-pass-jog-steps', {
    title: 'A walk past with jog steps',
    about: 'grey, breaks into a jog for two strides',
    withersM: 1.62,
  }),
  drawn('triangle', {
    title: 'A triangle',
    about: 'dark bay, away, past and back',
    withersM: 1.62,
  }),
  drawn('standing', {
    title: 'Standing',
    about: 'palomino, stood up in an open stance',
    withersM: 1.55,
    unmeasured:
      'In this clip the horse stands, and a stand is not measured: these numbers of a walk are wrong.',
    noPassWords:
      'In this clip the horse stands. A stand is not measured, so there are no numbers: look at the points on the horse.',
  }),
];
