import { COSTED } from '../../advice/budget.ts';
import type { Cost, Finding } from '../../advice/takeCheck.ts';
import { NO_COST } from '../../advice/words.ts';
import {
  IN_WITHERS_HEIGHTS,
  type Quantity,
  SHORT_LENGTH,
  type Units,
  formatNumber,
  withUnit,
} from '../format.ts';

const NAMES: Record<Cost['of'], string> = { overtrack: 'overtrack', strideLength: 'stride length' };

const REFUSES = {
  side: 'For want of this there is no overtrack.',
  line: 'For want of this it is not told how straight the way was.',
} as const;
const HARDLY = 'It hardly widens the ranges of this pass.';
const NO_LENGTHS = 'There are no lengths here whose ranges it could widen.';

/** With one decimal; null of what rounds to nothing. */
function shown(length: number, { unit, factor }: Quantity): string | null {
  const number = formatNumber(length * factor, 1);
  return Number(number) === 0 ? null : withUnit(number, unit);
}

const lengthWords = ({ narrowerM, narrowerH }: Cost, units: Units): string | null =>
  narrowerM === null ? shown(narrowerH, IN_WITHERS_HEIGHTS) : shown(narrowerM, SHORT_LENGTH[units]);

/** From this on a stride's duration is worth a word, s. */
const LEAST_S = 0.001;

/** What a finding costs the ranges of its pass, in the units of the page; in withers heights where there are no metres. */
export function costWords({ cause, refuses, passKind, costs, narrowerS }: Finding, units: Units): string {
  if (refuses) return REFUSES[passKind === 'side' ? 'side' : 'line'];
  const lengths = costs.flatMap((cost) => {
    const length = lengthWords(cost, units);
    return length === null ? [] : [`${length} of ${NAMES[cost.of]}`];
  });
  const time =
    narrowerS !== null && narrowerS >= LEAST_S
      ? [`${formatNumber(narrowerS, 3)}\u00a0s of stride duration`]
      : [];
  const parts = [...lengths, ...time];
  if (parts.length > 0) return `Costs ${listed(parts)}, either way.`;
  if (costs.length > 0 || narrowerS !== null) return HARDLY;
  return passKind === 'side' && (COSTED as readonly string[]).includes(cause) ? NO_LENGTHS : NO_COST;
}

const listed = (parts: readonly string[]): string =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
