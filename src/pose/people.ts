/** The handler's pose, by MoveNet through @tensorflow-models/pose-detection with the weights laid beside the page. */
import type { PoseDetector } from '@tensorflow-models/pose-detection';
import * as tf from '@tensorflow/tfjs-core';
import type { Box } from '../clip/types.ts';
import { cut, squareAround, toPicture, type Source } from './crop.ts';
import type { ModelFiles } from './tensors.ts';
import type { Observation } from './types.ts';

const INPUT_PX = 192;
const MARGIN = 1.25;
const CONFIDENT = 0.3;

export interface Person {
  /** Around the points that were seen. */
  readonly box: Box;
  /** Ankles, picture px; those that were seen. */
  readonly feet: readonly Observation[];
}

/** Loads MoveNet; the library is fetched only when there is somebody to look for. */
export async function loadPersonFinder(files: ModelFiles): Promise<PoseDetector> {
  const { createDetector, movenet, SupportedModels } = await import('@tensorflow-models/pose-detection');
  return createDetector(SupportedModels.MoveNet, {
    modelType: movenet.modelType.SINGLEPOSE_LIGHTNING,
    modelUrl: files,
    enableSmoothing: false,
    minPoseScore: 0.1,
  });
}

/** The person in this box, or null where the points are too unsure. The square cut avoids the library's own crop. */
export async function personIn(detector: PoseDetector, source: Source, box: Box): Promise<Person | null> {
  const square = squareAround(box, MARGIN);
  const pixels = cut(source, square, INPUT_PX);
  const image = tf.tensor3d(Int32Array.from(pixels, Math.round), [INPUT_PX, INPUT_PX, 3], 'int32');
  try {
    detector.reset();
    const [pose] = await detector.estimatePoses(image, { maxPoses: 1, flipHorizontal: false });
    if (!pose) return null;
    // The library counts px from the picture's edge: centres are at halves.
    const points = pose.keypoints
      .filter((k) => (k.score ?? 0) >= CONFIDENT)
      .map((k) => ({
        name: k.name,
        score: k.score ?? 0,
        ...toPicture(square, INPUT_PX, k.x - 0.5, k.y - 0.5),
      }));
    if (points.length < 5) return null;
    const xs = points.map((p) => p.x);
    const ys = points.map((p) => p.y);
    const feet = points.filter((p) => p.name?.endsWith('ankle')).map(({ x, y, score }) => ({ x, y, score }));
    return { box: [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)], feet };
  } finally {
    image.dispose();
  }
}
