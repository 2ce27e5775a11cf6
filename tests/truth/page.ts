/** The page in which clips are drawn. Driven by make.ts. */
import type { PointName } from '../../src/points.ts';
import type { Vec } from './curves.ts';
import { Drawing } from './drawing.ts';
import type { ClipPlan } from './plans.ts';

let drawing: Drawing | null = null;
const need = (): Drawing => {
  if (!drawing) throw new Error('Nothing is being drawn');
  return drawing;
};

const truthPage = {
  start: (plan: ClipPlan): void => {
    drawing = new Drawing(plan);
  },
  picture: (index: number): string => need().picture(index),
  /** A picture, and which points it hides. */
  frame: (index: number): { jpeg: string; hidden: Record<PointName, boolean> } => ({
    jpeg: need().picture(index),
    hidden: need().hidden(index),
  }),
  through: (place: Vec): { x: number; y: number } => need().through(place),
};

declare global {
  var truthPage: TruthPage;
}
export type TruthPage = typeof truthPage;
globalThis.truthPage = truthPage;
