import { type Units, handsOfMetres, metresOfHands } from './format.ts';
import { isHeight } from './words.ts';

/** What stands in the boxes: centimetres, or hands and inches. */
export type HeightTexts = readonly string[];

/** m; NaN where it is no height of a horse. */
export function heightOfTexts(texts: HeightTexts, units: Units): number {
  const heightM = units === 'metric' ? numberOf(texts[0]) / 100 : heightOfHands(texts);
  return isHeight(heightM) ? heightM : NaN;
}

export const isEmpty = (texts: HeightTexts): boolean => texts[0]?.trim() === '';

export function textsOfHeight(heightM: number | null, units: Units): HeightTexts {
  if (units === 'metric') return [heightM === null ? '' : String(Math.round(heightM * 1000) / 10)];
  if (heightM === null) return ['', ''];
  const { hands, inches } = handsOfMetres(heightM);
  return [String(hands), String(inches)];
}

/** A comma is a decimal point in much of the world. NaN for anything that is no plain number. */
function numberOf(text = ''): number {
  const plain = text.trim().replace(',', '.');
  return /^\d+(\.\d*)?$/.test(plain) ? Number(plain) : NaN;
}

/** The trade writes 15.2 for 15 hands 2 inches; that is understood in the box for the hands. */
function heightOfHands([handsText = '', inchesText = '']: HeightTexts): number {
  const written = /^\s*(\d+)[.,]([0-3])\s*$/.exec(handsText);
  const noInches = inchesText.trim() === '' || Number(inchesText) === 0;
  if (written && noInches) return metresOfHands({ hands: Number(written[1]), inches: Number(written[2]) });
  const hands = numberOf(handsText);
  const inches = inchesText.trim() === '' ? 0 : numberOf(inchesText);
  return Number.isInteger(hands) && inches < 4 ? metresOfHands({ hands, inches }) : NaN;
}
