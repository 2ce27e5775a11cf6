/** How the kinds of passes are called on the page, and the key that makes a part one of them. */
import type { CoursePass } from '../../gait/index.ts';
import { PASS_KINDS, type PassKind } from '../../gait/passKinds.ts';
import type { Doubt } from './doubts.ts';

interface KindWords {
  /** On a button and on the strip. */
  readonly name: string;
  /** In a list of all. */
  readonly full: string;
  readonly key: string;
}

export const KIND_WORDS: Record<PassKind, KindWords> = {
  stand: { name: 'Stand', full: 'Stand: the horse stands', key: 's' },
  away: { name: 'Away', full: 'Away from the camera', key: 'a' },
  turn: { name: 'Turn', full: 'Turn', key: 't' },
  side: { name: 'Past', full: 'Past the camera', key: 'p' },
  towards: { name: 'Back', full: 'Back to the camera', key: 'b' },
};

export const NO_PASS_NAME = 'No pass';
export const NO_PASS_KEY = 'x';

export const kindName = (kind: PassKind | null): string => (kind ? KIND_WORDS[kind].name : NO_PASS_NAME);

/** The kind that a key stands for; null for no pass, undefined for any other key. */
export function kindOfKey(key: string): PassKind | null | undefined {
  if (key === NO_PASS_KEY) return null;
  return PASS_KINDS.find((kind) => KIND_WORDS[kind].key === key);
}

/** "Away", "Past, to the left" */
export const passName = (one: CoursePass): string =>
  one.kind === 'side' ? `${KIND_WORDS.side.name}, to the ${one.direction}` : KIND_WORDS[one.kind].name;

/** "0.4 to 4.3 s" */
export const spanWords = (fromS: number, toS: number): string =>
  `${fromS.toFixed(1)} to ${toS.toFixed(1)}\u00a0s`;

/** Beside the strip; what was set by hand counts all the same. */
export const doubtWords = ({ set, looksLike }: Doubt): string =>
  `To the tool ${spanWords(set.startS, set.endS)} does not look like “${kindName(set.kind)}” but like “${kindName(looksLike)}”; your choice counts.`;
