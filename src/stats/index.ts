/** Following a horse over time: repeatability, agreement, change, development. */
export { ageOn, type Age } from './age.ts';
export { agreement, type Agreement, type Pair } from './agreement.ts';
export {
  changeVerdict,
  ENOUGH_DF,
  usualSd,
  type ChangeVerdict,
  type DayValue,
  type Known,
} from './change.ts';
export { dayRepeats, development, type Development, type Series, type Visit } from './development.ts';
export { expectedAdultHeightM, GROWTH_SHARES, shareOfAdultHeight } from './growth.ts';
export { icc, iccOf, type Icc } from './icc.ts';
export { meanSquares, type MeanSquares } from './meanSquares.ts';
export {
  smallestDetectableChange,
  standardErrorOfMeasurement,
  withinSubjectSd,
  type WithinSubject,
} from './repeatability.ts';
export { isUntold, type Interval, type Untold } from './types.ts';
export * from './words.ts';
