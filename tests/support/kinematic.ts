/**
 * A led horse walking past a pinhole camera, with exact truth. Nothing of src/gait is used here: prints are laid out
 * along the path, swings follow a velocity with power-law ramps (another shape than the detector assumes), the heel
 * lifts before the toe, trunk and head bob, near and far hooves stand on either side of the body's line.
 * Frames of reference: path m (s along, w towards the camera, z up), picture px (x right, y down).
 */
import {
  FETLOCK,
  HOOF,
  KNEE_OR_HOCK,
  LIMBS,
  POINT_NAMES,
  type Limb,
  type PointName,
  type Side,
} from '../../src/points.ts';
import type { ObservedFrame, Track, TrackPoint } from '../../src/track/types.ts';

export interface WalkOptions {
  seed: number;
  fps: number;
  /** Strides in view. */
  strides: number;
  withersM: number;
  strideLengthM: number;
  strideDurationS: number;
  overtrackM: number;
  /** Hind to same-side fore, share of the stride. */
  lag: number;
  /** Right hind after left hind. */
  contralateral: number;
  dutyFore: number;
  dutyHind: number;
  /** Variation from stride to stride, share. */
  strideCv: number;
  /** SD of a single footfall's time and place. */
  footfallSdS: number;
  footfallSdM: number;
  headAboveM: number;
  nodM: number;
  croupAboveM: number;
  baseWidthM: number;
  direction: Side;
  obliquityDeg: number;
  distanceM: number;
  cameraHeightM: number;
  focalShare: number;
  widthPx: number;
  heightPx: number;
  /** Power and length (share of the swing) of the ramps of the swing's velocity. */
  ramp: { upPower: number; up: number; downPower: number; down: number };
  /** Noise of points as a multiple of check 34's SDs; 0 = exact. */
  noise: number;
  /** Share of hoof points that drop out. */
  dropOut: number;
  /** SD of an error of each point that stays the same all along the pass, share of withers height. */
  toeBiasH: number;
  bodyBiasH: number;
  dropFrames: number;
  startS: number;
}

export const WALK: WalkOptions = {
  seed: 1,
  fps: 60,
  strides: 4,
  withersM: 1.62,
  strideLengthM: 1.75,
  strideDurationS: 1.12,
  overtrackM: 0.12,
  lag: 0.24,
  contralateral: 0.5,
  dutyFore: 0.63,
  dutyHind: 0.62,
  strideCv: 0,
  footfallSdS: 0,
  footfallSdM: 0,
  headAboveM: 0.1,
  nodM: 0.12,
  croupAboveM: -0.02,
  baseWidthM: 0.18,
  direction: 'left',
  obliquityDeg: 0,
  distanceM: 9,
  cameraHeightM: 1.5,
  focalShare: 0.8,
  widthPx: 1920,
  heightPx: 1080,
  ramp: { upPower: 1.4, up: 0.42, downPower: 1.4, down: 0.42 },
  noise: 0,
  dropOut: 0,
  toeBiasH: 0,
  bodyBiasH: 0,
  dropFrames: 0,
  startS: 0,
};

/** SD of hoof x / y in stance, % of withers height: near fore, near hind, far hind, far fore (check 34 of the measures, */
/** measured on the trajectories published by Niknejad et al. 2023, J ASABE 66:865). */
const NOISE_PCT = {
  near: { F: [0.42, 0.4], H: [0.39, 0.38] },
  far: { F: [0.97, 0.7], H: [0.66, 0.51] },
} as const;
const BODY_NOISE_PCT = [0.35, 0.35] as const;

export interface TrueStance {
  readonly limb: Limb;
  readonly onS: number;
  readonly offS: number;
  /** Along the path, m. */
  readonly printM: number;
}
export interface Walk {
  readonly options: WalkOptions;
  readonly frames: ObservedFrame[];
  readonly track: Track;
  readonly stances: TrueStance[];
  readonly speedMps: number;
}

/** Park-Miller generator: 1 <= seed. */
export function numbers(seed: number): { uniform: () => number; normal: () => number } {
  let state = ((seed * 48271) % 2147483647) + 11;
  const uniform = (): number => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
  for (let i = 0; i < 5; i++) uniform();
  const normal = (): number =>
    Math.sqrt(-2 * Math.log(uniform() + 1e-12)) * Math.cos(2 * Math.PI * uniform());
  return { uniform, normal };
}

interface Body {
  readonly startS: number;
  readonly t: number[];
  readonly s: number[];
}

/** Start time and place of each stride of the body; strides vary. */
function bodyOf(o: WalkOptions, n: ReturnType<typeof numbers>): Body {
  const t = [-3 * o.strideDurationS];
  const s = [-3 * o.strideLengthM];
  for (let k = 0; k < o.strides + 7; k++) {
    const common = o.strideCv * n.normal();
    const own = o.strideCv * 0.6 * n.normal();
    t.push((t[k] ?? 0) + o.strideDurationS * (1 + own));
    s.push((s[k] ?? 0) + o.strideLengthM * (1 + common));
  }
  return { startS: o.startS, t, s };
}

/** Place of the body at a time, along the path from where it is at stride 0. */
function bodyAt(body: Body, time: number): number {
  let k = 0;
  while (k < body.t.length - 2 && (body.t[k + 1] ?? 0) <= time) k++;
  const t0 = body.t[k] ?? 0;
  const share = (time - t0) / ((body.t[k + 1] ?? 1) - t0);
  const s0 = body.s[k] ?? 0;
  return s0 + share * ((body.s[k + 1] ?? 0) - s0);
}

function footfalls(o: WalkOptions, body: Body, n: ReturnType<typeof numbers>): Record<Limb, TrueStance[]> {
  const phase: Record<Limb, number> = {
    LH: 0,
    LF: o.lag,
    RH: o.contralateral,
    RF: o.contralateral + o.lag,
  };
  // Overtrack = (1 - lag) stride length - C (exact): C is the distance from hind to fore landing place in the body.
  const c = (1 - o.lag) * o.strideLengthM - o.overtrackM;
  const out: Record<Limb, TrueStance[]> = { LH: [], LF: [], RH: [], RF: [] };
  for (const limb of LIMBS) {
    const fore = limb.endsWith('F');
    for (let k = 0; k + 2 < body.t.length; k++) {
      const turn = Math.floor(phase[limb]);
      const t0 = body.t[k + turn] ?? 0;
      const duration = (body.t[k + turn + 1] ?? 0) - t0;
      const on = t0 + (phase[limb] - turn) * duration + o.footfallSdS * n.normal();
      const off = on + (fore ? o.dutyFore : o.dutyHind) * duration + o.footfallSdS * n.normal();
      const reach = fore ? c / 2 + 0.35 : -c / 2 + 0.35;
      const printM = bodyAt(body, on) + reach + o.footfallSdM * n.normal();
      out[limb].push({ limb, onS: on, offS: off, printM });
    }
  }
  return out;
}

/** Share of the way after a share of the swing: the integral of a velocity that ramps up, holds, and ramps down. */
export function rampWay(r: WalkOptions['ramp'], share: number): number {
  const { upPower: p, up, downPower: q, down } = r;
  const total = up / (p + 1) + (1 - up - down) + down / (q + 1);
  const x = Math.min(1, Math.max(0, share));
  if (x < up) return ((up / (p + 1)) * (x / up) ** (p + 1)) / total;
  if (x < 1 - down) return (up / (p + 1) + (x - up)) / total;
  return 1 - ((down / (q + 1)) * ((1 - x) / down) ** (q + 1)) / total;
}

interface Place {
  s: number;
  z: number;
}

function limbPlaces(
  o: WalkOptions,
  list: readonly TrueStance[],
  time: number,
): { toe: Place; fetlock: Place } {
  const k = Math.max(
    0,
    list.findLastIndex((st) => st.onS <= time),
  );
  const here = list[k];
  const next = list[k + 1];
  if (!here || !next) return { toe: { s: 0, z: 0 }, fetlock: { s: 0, z: 0 } };
  const h = o.withersM;
  if (time < here.offS) {
    const share = (time - here.onS) / (here.offS - here.onS);
    // The pastern leans back after landing and forward before hoof-off; from 75 % the heel lifts while the toe stays.
    const heel = Math.max(0, (share - 0.75) / 0.25);
    return {
      toe: { s: here.printM, z: 0 },
      fetlock: {
        s: here.printM - 0.06 * h + 0.05 * h * share + 0.04 * h * heel ** 2,
        z: 0.1 * h + 0.015 * h * heel,
      },
    };
  }
  const share = (time - here.offS) / (next.onS - here.offS);
  const s = here.printM + rampWay(o.ramp, share) * (next.printM - here.printM);
  const lift = 0.07 * h * Math.sin(Math.PI * Math.sqrt(share)) ** 2;
  const back = 0.03 * h * (1 - share) - 0.06 * h * share;
  return { toe: { s, z: lift }, fetlock: { s: s + back, z: 0.1 * h + lift + 0.015 * h * (1 - share) } };
}

/** Picture px of a place: still pinhole camera, level, looking at the path's point s = 0. */
function project(o: WalkOptions, s: number, w: number, z: number): { x: number; y: number } {
  const a = (o.obliquityDeg * Math.PI) / 180;
  const f = o.focalShare * Math.max(o.widthPx, o.heightPx);
  const sign = o.direction === 'right' ? 1 : -1;
  const lateral = sign * (s * Math.cos(a) + w * Math.sin(a));
  const depth = o.distanceM + s * Math.sin(a) - w * Math.cos(a);
  const horizon = o.heightPx * 0.45;
  return { x: (o.widthPx - 1) / 2 + (f * lateral) / depth, y: horizon + (f * (o.cameraHeightM - z)) / depth };
}

/** The horse at one time: places of all points it has, px without error. */
function pose(
  o: WalkOptions,
  body: Body,
  falls: Record<Limb, TrueStance[]>,
  time: number,
  middleM: number,
): Partial<Record<PointName, { x: number; y: number }>> {
  const near: Side = o.direction;
  const h = o.withersM;
  const b = bodyAt(body, time) - middleM;
  const cycle = (2 * Math.PI * time) / o.strideDurationS;
  const bob = 0.012 * h * Math.cos(2 * cycle);
  const sway = 0.01 * h * Math.cos(2 * cycle + 1);
  // The withers' mean height is the height with the stick.
  const withers = { s: b + 0.35 + sway, z: h + bob };
  const head = withers.z + o.headAboveM + (o.nodM / 2) * Math.cos(2 * cycle + 0.6);
  const out: Partial<Record<PointName, { x: number; y: number }>> = {
    withers: project(o, withers.s, 0, withers.z),
    croup: project(o, withers.s - 0.55 * h, 0, h + o.croupAboveM + 0.01 * h * Math.cos(2 * cycle + 2)),
    tailhead: project(o, withers.s - 0.75 * h, 0, 0.9 * h + bob),
    point_of_shoulder: project(o, withers.s + 0.25 * h, 0.15, 0.68 * h + bob),
    point_of_elbow: project(o, withers.s + 0.05 * h, 0.15, 0.55 * h + bob),
    poll: project(o, withers.s + 0.55 * h, 0, head),
    muzzle: project(o, withers.s + 0.85 * h, 0, head - 0.35 * h),
  };
  for (const limb of LIMBS) {
    const side: Side = limb.startsWith('L') ? 'left' : 'right';
    const w = (side === near ? 0.5 : -0.5) * o.baseWidthM;
    const { toe, fetlock } = limbPlaces(o, falls[limb], time);
    const top = { s: withers.s + (limb.endsWith('F') ? 0.02 : -0.6) * h, z: 0.5 * h };
    out[HOOF[limb]] = project(o, toe.s - middleM, w, toe.z);
    out[FETLOCK[limb]] = project(o, fetlock.s - middleM, w, fetlock.z);
    out[KNEE_OR_HOCK[limb]] = project(o, (fetlock.s - middleM + top.s) / 2, w, (fetlock.z + top.z) / 2);
  }
  return out;
}

function noisePct(name: PointName, near: Side): readonly [number, number] {
  const side = name.startsWith('left_') ? 'left' : name.startsWith('right_') ? 'right' : null;
  if (side === null) return BODY_NOISE_PCT;
  return NOISE_PCT[side === near ? 'near' : 'far'][
    name.includes('fore') || name.includes('shoulder') ? 'F' : 'H'
  ];
}

export function walk(given: Partial<WalkOptions> = {}): Walk {
  const o = { ...WALK, ...given };
  const n = numbers(o.seed);
  const body = bodyOf(o, n);
  const falls = footfalls(o, body, n);
  const lastsS = o.strides * o.strideDurationS;
  const middleM = bodyAt(body, lastsS / 2) + 0.2;
  const noise = numbers(o.seed + 7919);
  const hPx = (o.focalShare * Math.max(o.widthPx, o.heightPx) * o.withersM) / o.distanceM;
  const bias = Object.fromEntries(
    POINT_NAMES.map((name) => {
      const share = name.includes('hoof') ? o.toeBiasH : o.bodyBiasH;
      return [name, { x: share * hPx * noise.normal(), y: share * hPx * noise.normal() }];
    }),
  ) as Record<PointName, { x: number; y: number }>;
  const frames: ObservedFrame[] = [];
  const count = Math.floor(lastsS * o.fps) + 1;
  const phase = noise.uniform() / o.fps;
  for (let i = 0; i < count; i++) {
    const time = i / o.fps + phase;
    if (i > 0 && i < count - 1 && noise.uniform() < o.dropFrames) continue;
    const exact = pose(o, body, falls, time, middleM);
    const points: Partial<Record<PointName, { x: number; y: number; score: number }>> = {};
    for (const name of POINT_NAMES) {
      const p = exact[name];
      const [sx, sy] = noisePct(name, o.direction);
      const dx = o.noise * (sx / 100) * hPx * noise.normal();
      const dy = o.noise * (sy / 100) * hPx * noise.normal();
      if (!p || (name.includes('hoof') && noise.uniform() < o.dropOut)) continue;
      points[name] = { x: p.x + dx + bias[name].x, y: p.y + dy + bias[name].y, score: 0.9 };
    }
    frames.push({ timeS: o.startS + time, horse: { box: boxOf(points), view: o.direction, points } });
  }
  const stances = LIMBS.flatMap((limb) => falls[limb])
    .map((s) => ({ ...s, onS: s.onS + o.startS, offS: s.offS + o.startS }))
    .filter((s) => s.offS > o.startS && s.onS < o.startS + lastsS);
  return {
    options: o,
    frames,
    track: toTrack(frames, o, hPx),
    stances,
    speedMps: o.strideLengthM / o.strideDurationS,
  };
}

function boxOf(
  points: Partial<Record<PointName, { x: number; y: number }>>,
): readonly [number, number, number, number] {
  const all = Object.values(points);
  const xs = all.map((p) => p.x);
  const ys = all.map((p) => p.y);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

/** The frames as a track without smoothing: the hardest thing the core can be given. */
function toTrack(frames: readonly ObservedFrame[], o: WalkOptions, hPx: number): Track {
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => {
      const [sx] = noisePct(name, o.direction);
      const sdPx = Math.max(0.1, ((o.noise * sx) / 100) * hPx);
      const list = frames.map((frame): TrackPoint | null => {
        const p = frame.horse?.points[name];
        return p ? { x: p.x, y: p.y, vx: 0, vy: 0, sdPx, score: p.score, source: 'network' } : null;
      });
      return [name, list];
    }),
  ) as unknown as Track['points'];
  return {
    timesS: frames.map((f) => f.timeS),
    points,
    toStill: frames.map(() => ({ a: 1, b: 0, tx: 0, ty: 0 })),
    seenSide: frames.map(() => o.direction),
    pictureWidthPx: o.widthPx,
    pictureHeightPx: o.heightPx,
    groundSdPx: 0,
    swapsRepaired: 0,
  };
}
