/** What the page says a finding of the take check costs. */
import { signal } from '@preact/signals';
import { describe, expect, it } from 'vitest';
import { filmingCard, filmingNumbers } from '../../src/advice/filmingCard.ts';
import type { Cost, Finding } from '../../src/advice/takeCheck.ts';
import { NO_COST, findingWords } from '../../src/advice/words.ts';
import { costWords } from '../../src/ui/advice/costWords.ts';
import { adviceOf } from '../../src/ui/advice/advice.ts';
import { roughLength } from '../../src/ui/advice/FilmingCard.tsx';
import { isToldByCheck } from '../../src/ui/advice/TakeCheck.tsx';
import type { Session } from '../../src/ui/session.ts';

const cost = (of: Cost['of'], narrowerH: number, withersM: number | null): Cost => {
  const inM = (lengthH: number): number | null => (withersM === null ? null : lengthH * withersM);
  return { of, partH: 2 * narrowerH, partM: inM(2 * narrowerH), narrowerH, narrowerM: inM(narrowerH) };
};
const finding = (some: Partial<Finding>): Finding => ({
  ...{ cause: 'oblique', size: null, refuses: false, pass: 0, passKind: 'side', costs: [], narrowerS: null },
  ...some,
});
const words = (some: Partial<Finding>, units: 'metric' | 'imperial' = 'metric'): string =>
  costWords(finding(some), units).replaceAll('\u00a0', ' ');

describe('what a finding costs', () => {
  const costs = [cost('overtrack', 0.01, 1.6), cost('strideLength', 0.02, 1.6)];

  it('is told in the units of the page: an inch is 2.54 cm', () => {
    expect(words({ costs })).toBe('Costs 1.6 cm of overtrack and 3.2 cm of stride length, either way.');
    expect(words({ costs }, 'imperial')).toBe(
      'Costs 0.6 in of overtrack and 1.3 in of stride length, either way.',
    );
  });

  it('is told in withers heights where no height is given', () => {
    expect(words({ costs: [cost('overtrack', 0.012, null)] })).toBe(
      'Costs 1.2 % of the withers height of overtrack, either way.',
    );
  });

  it('has the time of a stride from a thousandth of a second on', () => {
    expect(words({ costs, narrowerS: 0.012 })).toMatch(
      /, 3\.2 cm of stride length and 0\.012 s of stride duration,/,
    );
    expect(words({ costs, narrowerS: 0.0004 })).not.toContain('duration');
  });

  it('is hardly anything where it rounds to nothing, and is not known where there is no term for it', () => {
    expect(words({ costs: [cost('overtrack', 1e-5, 1.6)] })).toMatch(/^It hardly widens/);
    expect(words({ cause: 'notLevel' })).toBe(NO_COST);
    expect(words({ passKind: 'away' })).toBe(NO_COST);
    expect(words({})).toMatch(/^There are no lengths/);
  });

  it('is a measure where that is refused', () => {
    expect(words({ refuses: true, costs })).toBe('For want of this there is no overtrack.');
    expect(words({ refuses: true, passKind: 'towards' })).toMatch(/how straight the way was/);
  });
});

it('a warning gives way only to a finding that is read at once', () => {
  const session = { course: signal([]), measured: signal({}), passIndex: signal(0) } as unknown as Session;
  const told = (...causes: Finding['cause'][]): boolean => {
    const findings = causes.map((cause) => finding({ cause }));
    adviceOf(session).given.value = { course: [], moments: [], handlers: [], findings };
    return isToldByCheck(session, 'tooFewFrames');
  };
  expect(told('oblique', 'tooNear', 'fewPictures', 'legsHidden')).toBe(true);
  expect(told('oblique', 'tooNear', 'legsHidden', 'fewPictures')).toBe(false);
  // The missing height is said beside its field and takes no place.
  expect(told('withersMissing', 'oblique', 'tooNear', 'fewPictures')).toBe(true);
});

const CARD = {
  numbers: filmingNumbers(1.65),
  format: (m: number) => roughLength(m, 'imperial').replace('\u00a0', ' '),
};
const seenWords = (some: Partial<Finding>): string =>
  findingWords(finding({ size: { value: 2, sd: 0 }, ...some }), CARD).seen;

it('what a length rests on, and where a horse is small, is told by the kind of the pass', () => {
  expect(seenWords({ cause: 'fewStrides' })).toBe('The overtrack rests on only two strides.');
  expect(seenWords({ cause: 'fewStrides', passKind: 'towards' })).toMatch(/^The base width in front rests/);
  for (const size of [null, { value: 0, sd: 0 }])
    expect(seenWords({ cause: 'fewStrides', size })).toBe('Few whole strides were seen.');
  expect(seenWords({ cause: 'small', passKind: 'towards' })).toMatch(/at the withers/);
  expect(seenWords({ cause: 'small', passKind: 'away' })).toMatch(/at the croup/);
});

it('where to stand and how large the horse is wanted is what the filming card says', () => {
  const next = (cause: Finding['cause']): string => findingWords(finding({ cause }), CARD).next;
  const side = filmingCard(1.65, CARD.format).parts.find((part) => part.of === 'side');
  const stand = next('tooNear').match(/\d+ ft/g) ?? [];
  expect(stand).toHaveLength(2);
  for (const feet of stand) expect(side?.lines[0]).toContain(feet);
  expect(next('small')).toContain('about a quarter as high as the picture');
  // The card reckons with a picture 1080 px high.
  expect(Math.abs(CARD.numbers.side.heightPx / 1080 - 1 / 4)).toBeLessThan(0.04);
});

it('of few strides the next take has the camera farther off, but on ways away and back a longer way', () => {
  expect(findingWords(finding({ cause: 'fewStrides' }), CARD).next).toMatch(/^Stand farther away/);
  expect(findingWords(finding({ cause: 'fewStrides', passKind: 'away' }), CARD).next).toMatch(/longer way/);
});

describe('lengths of the filming card', () => {
  it('are paced out: whole metres and feet, a foot being .3048 m, tenths below two metres', () => {
    const shown = (m: number, units: 'metric' | 'imperial') => roughLength(m, units).replace('\u00a0', ' ');
    expect([shown(8.3, 'metric'), shown(8.3, 'imperial')]).toEqual(['8 m', '27 ft']);
    expect([shown(0.89, 'metric'), shown(0.89, 'imperial')]).toEqual(['0.9 m', '2.9 ft']);
  });
});
