/** The closed set of reasons why something can't be told over time, and what to tell the user. */
export const STATS_REASONS = {
  otherUnit: 'The two days are given in different units.',
  refused: 'It was not measured on one of the days.',
  oblique: 'On one of the days the horse walked somewhat towards or away from the camera.',
  tooFewStrides: 'Too few strides were seen on one of the days.',
  repeatabilityUnknown:
    'How much this measure differs from pass to pass is not known: film more passes of one horse on one day.',
  tooFewRepeats: 'Too few repeats.',
  unequalRows: 'Every horse needs the same number of repeats here.',
  notFinite: 'Some values are no numbers.',
  noSpread: 'The horses differ too little from each other, against the error, to tell.',
  notADate: 'This is no date of the calendar.',
  beforeBirth: 'This day lies before the birth.',
  outsideGrowthTable: 'The table of growth goes from 3 to 24 months.',
} as const;

export type StatsReason = keyof typeof STATS_REASONS;

/** What the page may say of two days, and no more. */
export const CHANGE_WORDS = {
  larger: 'Larger than before, by more than the smallest detectable change.',
  smaller: 'Smaller than before, by more than the smallest detectable change.',
  within: 'The difference is not larger than the smallest detectable change.',
  cannotTell: 'Can\u2019t be told.',
} as const;

/** On what the smallest detectable change rests. */
export const BASIS_WORDS = {
  ownRepeats: 'From your own repeated passes of one horse on one day.',
  fallback:
    'From the ranges of both values and the usual variation within a horse: too few repeated passes of your own.',
} as const;

/** Beside every expected adult height. */
export const GROWTH_CAUTION =
  'From usual shares of the adult height, which differ from horse to horse and breed to breed.';
