/** The project's keypoint network: a square picture in, one heatmap per point out. Stateless. */
import type { GraphModel } from '@tensorflow/tfjs-converter';
import * as tf from '@tensorflow/tfjs-core';
import type { Box } from '../clip/types.ts';
import { mirrorName, POINT_NAMES, type PointName } from '../points.ts';
import { cutForNetwork, mirroredInput, toPicture, type Source, type Square } from './crop.ts';
import { cellToPx, decodePeaks, meanWithMirrored, unfolded, type Heatmaps } from './decode.ts';
import { boxOfPoints } from './boxes.ts';
import { loadModel, type ModelFiles } from './tensors.ts';
import type { HorsePose, Observation, View } from './types.ts';

const allViews: readonly View[] = ['left', 'right', 'away', 'towards'];
/** Below this a peak is noise: the point is left out. */
const leastScore = 0.05;

export interface Network {
  readonly model: GraphModel;
  readonly version: string;
  /** Side of its input, px. */
  readonly inputPx: number;
  /** Its output gives squares of fold x fold cells at a time. */
  readonly fold: number;
  readonly views: readonly View[];
}

/** What the network says of one input. */
export interface NetworkOutput {
  readonly heatmaps: Heatmaps;
  /** Probabilities in the order of `Network.views`; null where the network has no such output. */
  readonly view: Float32Array | null;
}

/** Loads the network and what is known of it (`meta.json` beside it). */
export async function loadNetwork(files: ModelFiles): Promise<Network> {
  const model = await loadModel(files);
  const answer = await fetch(new URL('meta.json', files.url)).catch(() => null);
  const meta: unknown = answer?.ok ? await answer.json().catch(() => null) : null;
  return networkOf(model, meta);
}

/** A loaded model with its meta data; throws where the names are not those of `POINT_NAMES`. */
export function networkOf(model: GraphModel, meta: unknown): Network {
  const {
    version,
    names,
    views: order,
    inputPx,
    fold,
  } = (meta ?? {}) as Partial<Record<'version' | 'names' | 'views' | 'inputPx' | 'fold', unknown>>;
  if (Array.isArray(names) && POINT_NAMES.some((name, i) => names[i] !== name)) {
    throw new Error(`The network's first points are ${names.slice(0, POINT_NAMES.length).join(', ')}`);
  }
  return {
    model,
    version: typeof version === 'string' || typeof version === 'number' ? String(version) : 'unknown',
    inputPx: typeof inputPx === 'number' ? inputPx : (model.inputs[0]?.shape?.[1] ?? 256),
    fold: typeof fold === 'number' ? fold : 1,
    views: Array.isArray(order) ? (order as View[]) : allViews,
  };
}

/**
 * Runs the network on inputPx x inputPx x RGB of -1..1.
 * Throws where its outputs have not the shapes that it should have.
 */
export async function runNetwork(
  network: Pick<Network, 'model' | 'inputPx' | 'fold' | 'views'>,
  input: Float32Array,
): Promise<NetworkOutput> {
  const { inputPx, fold, views } = network;
  const made = tf.tidy(() => {
    const x = tf.tensor4d(input, [1, inputPx, inputPx, 3]);
    const out = network.model.execute(x);
    return Array.isArray(out) ? out : [out];
  });
  try {
    const maps = made.find((t) => t.rank === 4);
    const [, height = 0, width = 0, channels = 0] = maps?.shape ?? [];
    const least = POINT_NAMES.length * fold * fold;
    if (!maps || channels < least || height !== width || inputPx % (height * fold) !== 0) {
      throw new Error(
        `The keypoint network gives ${made.map((t) => `[${t.shape.join()}]`).join(' ') || 'nothing'}`,
      );
    }
    const view = made.find((t) => t.rank === 2 && t.shape[1] === views.length);
    const [data, odds] = await Promise.all([maps.data<'float32'>(), view?.data<'float32'>() ?? null]);
    return { heatmaps: unfolded({ data, height, width, channels }, fold), view: odds };
  } finally {
    tf.dispose(made);
  }
}

const otherChannel = POINT_NAMES.map((name) => POINT_NAMES.indexOf(mirrorName(name)));

/** Averages over the picture and its mirror image. Auxiliary channels are not exchanged and mean nothing then. */
async function runBothWays(network: Network, input: Float32Array): Promise<NetworkOutput> {
  const straight = await runNetwork(network, input);
  const mirrored = await runNetwork(network, mirroredInput(input, network.inputPx));
  const odds = straight.view;
  const turned = mirroredOdds(network, mirrored.view);
  const view = odds && turned ? odds.map((p, i) => (p + (turned[i] ?? p)) / 2) : odds;
  return { heatmaps: meanWithMirrored(straight.heatmaps, mirrored.heatmaps, otherChannel), view };
}

/** Probabilities of the views in a mirror. */
const mirroredOdds = ({ views }: Network, odds: Float32Array | null): Float32Array | null =>
  odds && odds.map((p, i) => odds[views.indexOf(mirrorView(views[i] ?? 'none'))] ?? p);

const mirrorView = (view: View): View => (view === 'left' ? 'right' : view === 'right' ? 'left' : view);

type Points = Partial<Record<PointName, Observation>>;

/** Which way the horse faces, by its points alone: the side seen is the side that it faces in the picture. */
function viewByPoints(points: Points): View {
  const front = points.muzzle ?? points.poll ?? points.withers;
  const back = points.tailhead ?? points.croup;
  if (!front || !back) return 'none';
  return front.x < back.x ? 'left' : 'right';
}

function viewOf(network: Network, odds: Float32Array | null, points: Points): View {
  if (odds?.length !== network.views.length) return viewByPoints(points);
  const best = odds.reduce((b, p, i) => (p > (odds[b] as number) ? i : b), 0);
  return network.views[best] ?? 'none';
}

/** Heatmaps of a square as points of the picture. Points beyond the picture's border can't be seen: left out. */
export function pointsOf(
  heatmaps: Heatmaps,
  square: Square,
  source: Source,
  inputPx: number,
  mirrored = false,
): Points {
  const stridePx = inputPx / heatmaps.width;
  const points: Points = {};
  decodePeaks(heatmaps, POINT_NAMES.length).forEach((peak, channel) => {
    const seen = toPicture(square, inputPx, cellToPx(peak.x, stridePx), cellToPx(peak.y, stridePx));
    const at = mirrored ? { x: 2 * square.x - seen.x, y: seen.y } : seen;
    const inside =
      at.x >= -0.5 && at.y >= -0.5 && at.x <= source.widthPx - 0.5 && at.y <= source.heightPx - 0.5;
    const name = POINT_NAMES[mirrored ? (otherChannel[channel] ?? channel) : channel];
    if (name && inside && peak.score >= leastScore) points[name] = { ...at, score: peak.score };
  });
  return points;
}

export interface LookOptions {
  /** Looks at the mirrored picture too and averages: twice the time, steadier points. */
  readonly bothWays?: boolean;
  /**
   * Looks at the mirrored picture and turns back what is seen. The network answers a little differently to a
   * picture and to its mirror image: a horse that is always shown to it facing the same way is measured alike
   * in both directions. Without effect where it looks both ways.
   */
  readonly mirrored?: boolean;
}

/** Points of the horse in this square of the picture. */
export async function lookAt(
  network: Network,
  source: Source,
  square: Square,
  options: LookOptions = {},
): Promise<HorsePose> {
  const cut = cutForNetwork(source, square, network.inputPx);
  const mirrored = options.mirrored === true && !options.bothWays;
  const input = mirrored ? mirroredInput(cut, network.inputPx) : cut;
  const out = options.bothWays ? await runBothWays(network, input) : await runNetwork(network, input);
  const points = pointsOf(out.heatmaps, square, source, network.inputPx, mirrored);
  const half = square.sidePx / 2;
  const fallback: Box = [square.x - half, square.y - half, square.x + half, square.y + half];
  const odds = mirrored ? mirroredOdds(network, out.view) : out.view;
  return { box: boxOfPoints(points, 0.3) ?? fallback, view: viewOf(network, odds, points), points };
}
