/**
 * Where one point of a leg is expected, by a filter of its own: constant velocity with white acceleration.
 * Lengths in shares of the height at the withers (H), times in s.
 */
export interface PointState {
  readonly x: number;
  readonly y: number;
  readonly vx: number;
  readonly vy: number;
  readonly pp: number;
  readonly pv: number;
  readonly vv: number;
  readonly timeS: number;
}

export interface Look {
  readonly x: number;
  readonly y: number;
  /** Share of H. */
  readonly sd: number;
  readonly score: number;
}

/** Chances that a point stands, goes on as it went, or starts or stops at once. */
const STANDING_SHARE = 0.35;
const GOING_SHARE = 0.55;
const ABRUPT_SHARE = 0.1;
/** Speed of a swinging hoof, H/s: how far one that starts at once may be by now. */
const ABRUPT_SPEED = 4.5;
/** How far a standing point creeps, H/s. */
const CREEP = 0.15;
/** Nothing is expected more vaguely than this: legs stay under the horse. */
const WIDEST_SD = 0.35;
const UNKNOWN_SPEED = 1.2;
/**
 * Which leg a look belongs to is judged no finer than this, share of H: errors of neighbouring frames are alike, so
 * that looks are not as many witnesses as there are frames, and a filter that trusted each by itself would weigh
 * small errors above the way that legs go.
 */
const FINEST_SD = 0.012;

export const begin = (look: Look, timeS: number): PointState => ({
  x: look.x,
  y: look.y,
  vx: 0,
  vy: 0,
  pp: look.sd * look.sd,
  pv: 0,
  vv: UNKNOWN_SPEED * UNKNOWN_SPEED,
  timeS,
});

/** Variance of where the point is expected after dt. */
function predictedVariance({ pp, pv, vv }: PointState, dt: number, density: number): number {
  const wide = pp + 2 * dt * pv + dt * dt * vv + (density * Math.abs(dt) ** 3) / 3;
  return Math.min(wide, WIDEST_SD * WIDEST_SD);
}

function predicted(state: PointState, timeS: number, density: number): PointState {
  const dt = timeS - state.timeS;
  return {
    x: state.x + dt * state.vx,
    y: state.y + dt * state.vy,
    vx: state.vx,
    vy: state.vy,
    pp: predictedVariance(state, dt, density),
    pv: state.pv + dt * state.vv + (Math.sign(dt) * density * dt * dt) / 2,
    vv: Math.min(state.vv + density * Math.abs(dt), 9),
    timeS,
  };
}

/** A normal law's density in the plane, without 2 pi, at this squared distance; nothing beyond nine SDs. */
const bump = (d2: number, variance: number): number =>
  d2 > 81 * variance ? 0 : Math.exp(-d2 / (2 * variance)) / variance;

/** Chance density of seeing the point there, 1/H^2: it stands still, goes on, or starts or stops at once. */
export function expectation(state: PointState, look: Look, timeS: number, density: number): number {
  const dt = timeS - state.timeS;
  const sd = Math.max(look.sd, FINEST_SD);
  const variance = sd * sd;
  const [ex, ey] = [look.x - state.x, look.y - state.y];
  const [mx, my] = [ex - dt * state.vx, ey - dt * state.vy];
  const stood = ex * ex + ey * ey;
  const sMove = predictedVariance(state, dt, density) + variance;
  const stand = STANDING_SHARE * bump(stood, state.pp + variance + CREEP * CREEP * dt * dt);
  const move = GOING_SHARE * bump(mx * mx + my * my, sMove);
  const abrupt = ABRUPT_SHARE * bump(stood, sMove + ABRUPT_SPEED * ABRUPT_SPEED * dt * dt);
  return (stand + move + abrupt) / (2 * Math.PI);
}

export function updated(state: PointState | null, look: Look, timeS: number, density: number): PointState {
  if (!state) return begin(look, timeS);
  const p = predicted(state, timeS, density);
  const r = look.sd * look.sd;
  const [kp, kv] = [p.pp / (p.pp + r), p.pv / (p.pp + r)];
  const [ex, ey] = [look.x - p.x, look.y - p.y];
  return {
    x: p.x + kp * ex,
    y: p.y + kp * ey,
    vx: p.vx + kv * ex,
    vy: p.vy + kv * ey,
    pp: (p.pp * r) / (p.pp + r),
    pv: p.pv * (1 - kp),
    vv: Math.max(p.vv - kv * p.pv, 1e-4),
    timeS,
  };
}
