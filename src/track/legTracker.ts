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

function predicted(state: PointState, timeS: number, density: number): PointState {
  const dt = timeS - state.timeS;
  const pp = state.pp + 2 * dt * state.pv + dt * dt * state.vv + (density * Math.abs(dt) ** 3) / 3;
  return {
    x: state.x + dt * state.vx,
    y: state.y + dt * state.vy,
    vx: state.vx,
    vy: state.vy,
    pp: Math.min(pp, WIDEST_SD * WIDEST_SD),
    pv: state.pv + dt * state.vv + (Math.sign(dt) * density * dt * dt) / 2,
    vv: Math.min(state.vv + density * Math.abs(dt), 9),
    timeS,
  };
}

/** Chance density of seeing the point there, 1/H^2: it stands still, goes on, or starts or stops at once. */
export function expectation(state: PointState, look: Look, timeS: number, density: number): number {
  const dt = Math.abs(timeS - state.timeS);
  const variance = Math.max(look.sd, FINEST_SD) ** 2;
  const moving = predicted(state, timeS, density);
  const sMove = moving.pp + variance;
  const sStand = state.pp + variance + (CREEP * dt) ** 2;
  const dMove = (look.x - moving.x) ** 2 + (look.y - moving.y) ** 2;
  const dStand = (look.x - state.x) ** 2 + (look.y - state.y) ** 2;
  const sAbrupt = sMove + (ABRUPT_SPEED * dt) ** 2;
  const stand = (STANDING_SHARE / sStand) * Math.exp(-dStand / (2 * sStand));
  const move = (GOING_SHARE / sMove) * Math.exp(-dMove / (2 * sMove));
  const abrupt = (ABRUPT_SHARE / sAbrupt) * Math.exp(-dStand / (2 * sAbrupt));
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
