/** The passes of a drawn clip with the true value of every measure. */
import type { Camera } from './camera.ts';
import { headingAt } from './path.ts';
import { motionOf, type ClipPlan } from './plans.ts';
import { spansOf, type Span, type SpanKind } from './spans.ts';
import { linePass, type TrueLinePass } from './trueLine.ts';
import { sidePass, type TrueSidePass } from './trueSide.ts';
import { standPass, type TrueStand } from './trueStand.ts';
import type { TruthFrame, YardStance } from './truth.ts';

/** A bend of the path under any part of the body; nothing is measured in it. */
export interface TrueTurn {
  readonly kind: 'turn';
  readonly startS: number;
  readonly endS: number;
}

export type TruePass = TrueSidePass | TrueLinePass | TrueStand | TrueTurn;

export const isSide = (pass: TruePass): pass is TrueSidePass => pass.kind === 'side';

/** From the hindmost to the foremost hoof, from the withers, withers heights. */
const BODY_H = { back: -0.8, front: 0.4 } as const;

/** Ways that differ by no more than this lie on one straight, radians. */
const SAME_WAY = 1e-6;

function turnsAt(plan: ClipPlan, timeS: number): boolean {
  const { bodyXAt, withersM } = motionOf(plan);
  const at = bodyXAt(timeS);
  const way = (h: number): number => headingAt(plan.path, at + h * withersM);
  return Math.abs(way(BODY_H.front) - way(BODY_H.back)) > SAME_WAY;
}

function kindAt(plan: ClipPlan, { whole, view, timeS }: TruthFrame): SpanKind | null {
  if ('walk' in plan.going && turnsAt(plan, timeS)) return 'turn';
  if (!whole) return null;
  return 'walk' in plan.going ? view : 'stand';
}

/** All numbers with six digits: finer is the rounding of sums. */
function sixDigits<T>(value: T): T {
  if (typeof value === 'number') return Number(value.toFixed(6)) as T;
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, sixDigits(one)])) as T;
}

function passOf(
  plan: ClipPlan,
  camera: (timeS: number) => Camera,
  span: Span,
  frames: readonly TruthFrame[],
  all: readonly YardStance[],
): TruePass[] {
  const { kind, startS, endS } = span;
  if (kind === 'turn') return [{ kind, startS, endS }];
  if ('stand' in plan.going) return [sixDigits(standPass(plan, camera, span, frames, all))];
  const { walk } = plan.going;
  if (kind === 'stand' || endS - startS <= walk.manner.strideDurationS) return [];
  return kind === 'left' || kind === 'right'
    ? [sidePass(walk, { ...span, kind }, all)]
    : [sixDigits(linePass(plan, walk, camera, { ...span, kind }, frames, all))];
}

/** In order of time. Straights shorter than a stride are left out. */
export const passesOf = (
  plan: ClipPlan,
  camera: (timeS: number) => Camera,
  frames: readonly TruthFrame[],
  all: readonly YardStance[],
): TruePass[] =>
  spansOf(frames, (frame) => kindAt(plan, frame)).flatMap((span) => passOf(plan, camera, span, frames, all));
