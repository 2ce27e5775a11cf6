/**
 * What the networks run on: WebGPU, WebGL or wasm, tried in this order. A graphics card counts only if it gives the
 * same points as wasm - some compute with half of the digits - and only if it is faster.
 */
import { POINT_NAMES } from '../points.ts';
import { cellToPx, decodePeaks, type Peak } from './decode.ts';
import { drawn } from './drawn.ts';
import { runNetwork, type Network, type NetworkOutput } from './network.ts';
import { millisecondsOf, remove, type Backend, type BackendName, type GraphicsName } from './tensors.ts';

const GRAPHICS: readonly GraphicsName[] = ['webgpu', 'webgl'];

/** Why a graphics card is not used. */
export type Refusal = 'not started' | 'other points' | 'slower';

export interface Refused {
  readonly backend: GraphicsName;
  readonly why: Refusal;
}

/** What a network says of a picture that is always the same. */
export interface Seen {
  /** One to a point, px of the network's input. */
  readonly peaks: readonly Peak[];
  /** Probabilities. */
  readonly view: readonly number[];
}

/** A backend that was started, with the keypoint network on it, warmed up. */
export interface Candidate {
  readonly backend: Backend;
  readonly network: Network;
  readonly seen: Seen;
  /** Time of one run of the network, ms. Makes its backend the one in use. */
  measure(): Promise<number>;
}

export interface Chosen extends Candidate {
  /** What was tried before it. */
  readonly refused: readonly Refused[];
}

function seenIn({ heatmaps, view }: NetworkOutput, inputPx: number): Seen {
  const toPx = (cell: number): number => cellToPx(cell, inputPx / heatmaps.width);
  const peaks = decodePeaks(heatmaps, POINT_NAMES.length);
  return {
    peaks: peaks.map(({ x, y, score }) => ({ x: toPx(x), y: toPx(y), score })),
    view: [...(view ?? [])],
  };
}

const ROUNDS = 3;

/**
 * Loads the network on a backend just started, and runs it on a drawn picture: that warms it up.
 * Leaves nothing behind where it rejects.
 */
export async function candidateOn(
  backend: Backend,
  load: () => Promise<Network>,
  nowMs: () => number,
  signal?: AbortSignal,
): Promise<Candidate> {
  let network: Network | null = null;
  try {
    const loaded = (network = await load());
    const input = drawn(0, loaded.inputPx);
    const run = async (): Promise<NetworkOutput> => {
      const output = await runNetwork(loaded, input);
      signal?.throwIfAborted();
      return output;
    };
    const seen = seenIn(await run(), loaded.inputPx);
    const measure = async (): Promise<number> => {
      await backend.use();
      return millisecondsOf(run, ROUNDS, nowMs);
    };
    return { backend, network, seen, measure };
  } catch (cause) {
    network?.model.dispose();
    backend.end();
    throw cause;
  }
}

/** Farthest that two runs may be apart: px, and shares of 1. */
const SAME_PX = 0.1;
const SAME_SCORE = 0.01;
/** A point that scores less is not in the picture: its place means nothing. */
const VISIBLE = 0.1;

const near = (a: number, b: number): boolean => Math.abs(a - b) < SAME_SCORE;

/** Whether both see the same. */
export function agree(one: Seen, other: Seen): boolean {
  const samePeak = (a: Peak, b: Peak): boolean =>
    near(a.score, b.score) && (a.score < VISIBLE || Math.hypot(a.x - b.x, a.y - b.y) < SAME_PX);
  return (
    one.peaks.every((peak, i) => samePeak(peak, other.peaks[i] as Peak)) &&
    one.view.every((odds, i) => near(odds, other.view[i] as number))
  );
}

export function free({ network, backend }: Candidate): void {
  network.model.dispose();
  backend.end();
}

/** How backends are started; apart so that the choice can be tried without them. */
export interface Ways {
  /** Rejects where it can't be started, and leaves nothing behind then. */
  start(backend: BackendName, signal?: AbortSignal): Promise<Candidate>;
  /** Whether this way leads to a graphics card. */
  hasCard(backend: GraphicsName): Promise<boolean>;
  /** A driver that takes longer than this is given up, ms. */
  readonly patienceMs: number;
}

interface Timed {
  readonly candidate: Candidate;
  readonly ms: number;
}

/** Null where there is no card. */
async function timed(
  name: GraphicsName,
  { start, hasCard }: Ways,
  signal: AbortSignal,
): Promise<Timed | null> {
  if (!(await hasCard(name))) return null;
  signal.throwIfAborted();
  const candidate = await start(name, signal);
  try {
    const ms = await candidate.measure();
    signal.throwIfAborted();
    return { candidate, ms };
  } catch (cause) {
    free(candidate);
    throw cause;
  }
}

/** The same; rejects when it takes too long. */
function timedSoon(name: GraphicsName, ways: Ways): Promise<Timed | null> {
  const late = new AbortController();
  const tooLong = new Promise<never>((_resolve, reject) => {
    late.signal.addEventListener('abort', () => {
      remove(name);
      reject(new Error(`${name} took longer than ${ways.patienceMs} ms to start`));
    });
  });
  const timer = setTimeout(() => late.abort(), ways.patienceMs);
  return Promise.race([timed(name, ways, late.signal), tooLong]).finally(() => clearTimeout(timer));
}

/** A candidate that is good, or why it is not; null where there is no card. */
async function judged(name: GraphicsName, wasm: Candidate, ways: Ways): Promise<Candidate | Refusal | null> {
  const tried = await timedSoon(name, ways).catch(() => 'not started' as const);
  if (tried === null || tried === 'not started') return tried;
  const { candidate, ms } = tried;
  const same = agree(wasm.seen, candidate.seen);
  if (same && ms < (await wasm.measure())) return candidate;
  free(candidate);
  return same ? 'slower' : 'other points';
}

/** The first that starts, agrees with wasm and is faster; else wasm. It is the one in use. */
export async function firstGood(ways: Ways): Promise<Chosen> {
  const wasm = await ways.start('wasm');
  const refused: Refused[] = [];
  for (const backend of GRAPHICS) {
    const outcome = await judged(backend, wasm, ways);
    if (outcome !== null && typeof outcome === 'object') {
      await outcome.backend.use();
      free(wasm);
      return { ...outcome, refused };
    }
    if (outcome !== null) refused.push({ backend, why: outcome });
  }
  await wasm.backend.use();
  return { ...wasm, refused };
}
