/** The line that the drawn horse follows on the ground, and the way from path metres to the yard's. */
import { radians, smoothStep, type Vec } from './curves.ts';

export interface PathPlan {
  /** Where the path begins (path x = 0), and the way it goes there: yard metres, degrees to the left of the yard's x. */
  readonly fromM: readonly [number, number];
  readonly headingDeg: number;
  /** One after the other; a leg that turns is an arc. Before the first and after the last leg the path goes straight on. */
  readonly legs: readonly { readonly lengthM: number; readonly turnDeg: number }[];
  /** Waves to both sides of the line, between two places of the path. */
  readonly wander: readonly {
    readonly sizeM: number;
    readonly lengthM: number;
    readonly phase: number;
    readonly fromM: number;
    readonly toM: number;
  }[];
}

export const STRAIGHT: PathPlan = { fromM: [0, 0], headingDeg: 0, legs: [], wander: [] };

interface Spot {
  readonly x: number;
  readonly y: number;
  readonly headingRad: number;
}

/** On the line without its waves; exact on straights and arcs. */
function spotAt(p: PathPlan, alongM: number): Spot {
  let spot: Spot = { x: p.fromM[0], y: p.fromM[1], headingRad: radians(p.headingDeg) };
  if (alongM <= 0) return straightOn(spot, alongM);
  let left = alongM;
  for (const { lengthM, turnDeg } of p.legs) {
    const gone = Math.min(left, lengthM);
    spot = turnDeg === 0 ? straightOn(spot, gone) : onArc(spot, gone, radians(turnDeg) / lengthM);
    left -= gone;
    if (left <= 0) return spot;
  }
  return straightOn(spot, left);
}

const straightOn = ({ x, y, headingRad }: Spot, m: number): Spot => ({
  x: x + Math.cos(headingRad) * m,
  y: y + Math.sin(headingRad) * m,
  headingRad,
});

function onArc({ x, y, headingRad }: Spot, m: number, radPerM: number): Spot {
  const to = headingRad + radPerM * m;
  return {
    x: x + (Math.sin(to) - Math.sin(headingRad)) / radPerM,
    y: y - (Math.cos(to) - Math.cos(headingRad)) / radPerM,
    headingRad: to,
  };
}

/** Waves begin and end over a metre. */
const fade = (alongM: number, fromM: number, toM: number): number =>
  smoothStep(alongM - fromM) * smoothStep(toM - alongM);

export const waveM = (p: PathPlan, alongM: number): number =>
  p.wander.reduce(
    (sum, w) =>
      sum + fade(alongM, w.fromM, w.toM) * w.sizeM * Math.sin((2 * Math.PI * alongM) / w.lengthM + w.phase),
    0,
  );

/** Yard metres of a place in path metres: bodies bend along the path as horses do. */
export function inYard(p: PathPlan, place: Vec): Vec {
  const { x, y, headingRad } = spotAt(p, place[0]);
  const aside = place[1] + waveM(p, place[0]);
  return [x - Math.sin(headingRad) * aside, y + Math.cos(headingRad) * aside, place[2]];
}

/** The way the line goes, without its waves, radians to the left of the yard's x. */
export const headingAt = (p: PathPlan, alongM: number): number => spotAt(p, alongM).headingRad;
