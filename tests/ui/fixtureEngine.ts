/** Stands in for the engine while the page is tried: the drawn horse's truth, moved by corrections. */
import type { Box, ClipInfo } from '../../src/clip/types.ts';
import type {
  EventCorrection,
  HeadSample,
  Measure,
  Measures,
  SidePass,
  Stance,
} from '../../src/gait/types.ts';
import { LIMBS, POINT_NAMES, type Side, limbSide } from '../../src/points.ts';
import type { PointCorrection, Track, TrackPoint } from '../../src/track/types.ts';
import type { Correction, Edit } from '../../src/horse/edits.ts';
import type { AnalyseOptions, ClipReading, Engine, Gait } from '../../src/ui/engine.ts';
import { nearestIndex } from '../../src/track/times.ts';
import {
  FPS,
  FRAMES,
  HEIGHT_PX,
  WIDTH_PX,
  WITHERS_M,
  groundPx,
  metresPerPx,
  pointsAt,
  stanceOf,
  timeOfFrame,
  xOfM,
} from './fixtureHorse.ts';

const TIMES = Array.from({ length: FRAMES }, (_, frame) => timeOfFrame(frame));
const SPREAD_FRAMES = 3;
/** Frames in which a point was not found. */
export const HOLE = { point: 'right_hind_fetlock', from: 190, to: 205 } as const;

function fixtureTrack(corrections: readonly PointCorrection[]): Track {
  const still = { a: 1, b: 0, tx: 0, ty: 0 };
  const truth = TIMES.map(pointsAt);
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => {
      const found = truth.map((places, frame): TrackPoint | null => {
        const place = places.get(name);
        const hidden = name === 'right_fore_hoof' && frame % 60 > 50;
        const missed = name === HOLE.point && frame >= HOLE.from && frame < HOLE.to;
        return place && !missed
          ? {
              ...place,
              vx: 0,
              vy: 0,
              sdPx: hidden ? 6 : 2,
              score: 0.9,
              source: hidden ? 'bridged' : 'network',
            }
          : null;
      });
      return [
        name,
        corrected(
          found,
          corrections.filter((c) => c.point === name),
        ),
      ];
    }),
  ) as Record<(typeof POINT_NAMES)[number], (TrackPoint | null)[]>;
  return {
    timesS: TIMES,
    points,
    toStill: TIMES.map(() => still),
    seenSide: TIMES.map(() => 'left'),
    pictureWidthPx: WIDTH_PX,
    pictureHeightPx: HEIGHT_PX,
    groundSdPx: 0,
  };
}

function corrected(
  found: (TrackPoint | null)[],
  corrections: readonly PointCorrection[],
): (TrackPoint | null)[] {
  let points = found;
  for (const correction of corrections) {
    const at = nearestIndex(TIMES, correction.timeS);
    const from = points[at];
    const { x, y } = correction;
    if (!from) {
      points = points.with(at, { x, y, vx: 0, vy: 0, sdPx: 2, score: 1, source: 'hand' });
      continue;
    }
    const [dx, dy] = [correction.x - from.x, correction.y - from.y];
    points = points.map((point, frame) => {
      const weight = Math.exp(-0.5 * ((frame - at) / SPREAD_FRAMES) ** 2);
      if (!point || weight < 0.01) return point;
      return { ...point, x: point.x + weight * dx, y: point.y + weight * dy, source: 'hand' };
    });
  }
  return points;
}

function fixtureStances(corrections: readonly EventCorrection[], withScale: boolean): readonly Stance[] {
  return LIMBS.flatMap((limb) =>
    [-1, 0, 1, 2, 3].flatMap((stride) => {
      const { onS, offS, printM } = stanceOf(limb, stride);
      if (offS < START_S || onS > END_S) return [];
      const moved = (edge: 'on' | 'off', timeS: number) =>
        corrections.find((c) => c.limb === limb && c.edge === edge && Math.abs(c.foundS - timeS) < 0.01);
      const [on, off] = [moved('on', onS), moved('off', offS)];
      return [
        {
          limb,
          onS: onS < START_S ? null : (on?.timeS ?? onS),
          offS: offS > END_S ? null : (off?.timeS ?? offS),
          eventSdS: 0.01,
          printPx: { x: xOfM(printM), y: groundPx },
          printM: withScale ? printM : null,
          printSdM: withScale ? 0.02 : null,
          edited: on !== undefined || off !== undefined,
        },
      ];
    }),
  );
}

const START_S = 0.4;
const END_S = 4.3;

function overtracksOf(stances: readonly Stance[]): SidePass['overtracks'] {
  return stances.flatMap((fore) => {
    if (!fore.limb.endsWith('F')) return [];
    const side: Side = limbSide(fore.limb);
    const hind = stances.find(
      (other) =>
        other.limb.endsWith('H') &&
        limbSide(other.limb) === side &&
        Math.abs(fore.printPx.x - other.printPx.x) * metresPerPx < 0.6,
    );
    if (!hind) return [];
    const m = hind.printM === null || fore.printM === null ? null : hind.printM - fore.printM;
    return [{ side, fore, hind, m }];
  });
}

function fixtureMeasures(stances: readonly Stance[], withersM: number | null): Measures {
  const landings = stances.flatMap(({ limb, onS }) => (limb === 'LH' && onS !== null ? [onS] : []));
  const first = landings[0] ?? 0;
  const strideS = ((landings.at(-1) ?? 0) - first) / (landings.length - 1);
  const measured = (value: number, half: number, side: Side | 'both' = 'left'): Measure => ({
    value,
    low: value - half,
    high: value + half,
    n: landings.length - 1,
    side,
  });
  const length = (value: number, half: number, side: Side | 'both' = 'left'): Measure =>
    withersM === null
      ? { reason: 'withersHeightMissing' }
      : measured((value * withersM) / WITHERS_M, half, side);
  return {
    strideLengthM: length(1.725, 0.07),
    strideDurationS: measured(strideS, 0.018),
    cadencePerMin: measured(60 / strideS, 0.9),
    speedMps: length(1.5, 0.06),
    overtrackM: length(0.128, 0.034),
    lateralLagFraction: measured(0.23, 0.012),
    dutyFactorFore: measured(0.62, 0.02),
    dutyFactorHind: measured(0.62, 0.04, 'right'),
    headAboveWithersM: length(0.16, 0.02, 'both'),
    headNodM: length(0.11, 0.015, 'both'),
    croupAboveWithersM: length(-0.004, 0.012, 'both'),
    froude: { reason: 'tooFewStrides' },
    limbPhaseFraction: {
      LH: { value: 0, low: 0, high: 0, n: 3, side: 'left' },
      LF: measured(0.23, 0.012),
      RH: measured(0.5, 0.03, 'right'),
      RF: measured(0.74, 0.03, 'right'),
    },
  };
}

function headOf(track: Track, unit: number): readonly HeadSample[] {
  return TIMES.flatMap((timeS, frame) => {
    const [poll, withers] = [track.points.poll[frame], track.points.withers[frame]];
    if (!poll || !withers || timeS < START_S || timeS > END_S) return [];
    return [{ timeS, poll: (groundPx - poll.y) * unit, withers: (groundPx - withers.y) * unit, croup: null }];
  });
}

/** Two marks on the near track tell the height, if they are not on one spot. */
function heightOf(corrections: readonly Correction[], typedM: number | null): number | null {
  const known = corrections.find((c) => c.kind === 'distance');
  const apartPx = known ? Math.hypot(known.from.x - known.to.x, known.from.y - known.to.y) : 0;
  return known && apartPx > 20 ? (known.distanceM / apartPx) * (WITHERS_M / metresPerPx) : typedM;
}

function fixtureGait(corrections: readonly Correction[], typedM: number | null): Gait {
  const withersM = heightOf(corrections, typedM);
  const track = fixtureTrack(corrections.filter((c) => c.kind === 'point'));
  const stances = fixtureStances(
    corrections.filter((c) => c.kind === 'event'),
    withersM !== null,
  );
  const pass: SidePass = {
    kind: 'side',
    direction: 'left',
    startS: START_S,
    endS: END_S,
    nearSide: 'left',
    measures: fixtureMeasures(stances, withersM),
    stances,
    overtracks: overtracksOf(stances),
    head: headOf(track, withersM === null ? metresPerPx / WITHERS_M : metresPerPx),
    metresPerPx: withersM === null ? null : metresPerPx,
    withersM,
    withersHeightPx: WITHERS_M / metresPerPx,
    obliquityDeg: 2,
    inWithersHeights: {
      strideLengthH: { value: 1.065, low: 1.02, high: 1.11, n: 3, side: 'left' },
      overtrackH: { value: 0.079, low: 0.058, high: 0.1, n: 3, side: 'left' },
    },
    warnings: withersM === null ? ['withersHeightMissing'] : [],
  };
  return { track, passes: [pass], corrections };
}

const pause = (ms: number, signal: AbortSignal) =>
  new Promise<void>((resolve, reject) => {
    setTimeout(resolve, ms);
    signal.addEventListener('abort', () => reject(new DOMException('Cancelled', 'AbortError')));
  });

export interface FixtureOptions {
  /** How long the reading takes, ms. */
  readonly readingMs: number;
  readonly sample: Engine['sample'];
}

/** Heights are kept with the name of the clip, in the session store of the tab. */
let lastFile = '';
const heightKey = (): string => `height of ${lastFile}`;

async function analyse(file: File, options: AnalyseOptions, readingMs: number): Promise<ClipReading> {
  if (!file.type.startsWith('video/')) throw new Error('This is not a video.');
  const clip: ClipInfo = {
    name: file.name,
    sizeBytes: file.size,
    container: 'MP4',
    codec: 'avc',
    widthPx: WIDTH_PX,
    heightPx: HEIGHT_PX,
    rotationDeg: 0,
    startS: 0,
    durationS: FRAMES / FPS,
    meanFps: FPS,
    decoder: 'webcodecs',
  };
  lastFile = file.name;
  const keptM = Number(sessionStorage.getItem(heightKey()) ?? '');
  if (keptM > 0) options.onHeight(keptM);
  else sessionStorage.setItem(heightKey(), String(options.withersM ?? ''));
  options.onClip(clip, 'fixture');
  options.onVideo({ url: URL.createObjectURL(file), offsetS: 0 });
  const steps = 10;
  for (let step = 1; step <= steps; step++) {
    await pause(readingMs / steps, options.signal);
    const [from, to] = [step - 1, step].map((edge) => Math.round((edge / steps) * FRAMES));
    const newTimes = TIMES.slice(from, to);
    options.onFrames(newTimes.map((timeS) => ({ timeS, horse: null, people: [], handlerFeet: [] })));
    const doneS = (step / steps) * clip.durationS;
    const secondsLeft = (readingMs * (1 - step / steps)) / 1000;
    options.onProgress({ stage: 'Following the horse', doneS, durationS: clip.durationS, secondsLeft });
  }
  return {
    damage: null,
    networkVersion: 'fixture',
    backend: 'wasm',
    frames: FRAMES,
    pick: options.pick ?? null,
  };
}

/** Two horses, px of the picture. */
export const HORSES: readonly Box[] = [
  [300, 150, 700, 480],
  [40, 200, 240, 400],
];

const keptEdits = (clipId: string): readonly Edit[] =>
  JSON.parse(sessionStorage.getItem(clipId) ?? '[]') as Edit[];

/** Edits are kept in the session store of the tab, so that a reload finds them. */
export function fixtureEngine({ readingMs, sample }: FixtureOptions): Engine {
  return {
    sample,
    analyse: (file, options) => analyse(file, options, readingMs),
    remeasure: fixtureGait,
    findHorses: () => Promise.resolve(HORSES),
    keepHeight: (withersM) => {
      sessionStorage.setItem(heightKey(), String(withersM ?? ''));
      return Promise.resolve();
    },
    loadEdits: (clipId) => Promise.resolve(keptEdits(clipId)),
    appendEdit: (clipId, edit) => {
      sessionStorage.setItem(clipId, JSON.stringify([...keptEdits(clipId), edit]));
      return Promise.resolve();
    },
    exportJson: (clip, gait) =>
      JSON.stringify({ schema: 'ledwalk/1', clip: clip.name, passes: gait.passes.length }),
  };
}
