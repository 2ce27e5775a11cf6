/**
 * The few functions of OpenCV that following the ground needs, with the types they have here.
 * The package is 8 MB with its wasm inside: import this module only where it is used.
 */
import './moduleGlobal.ts';
import opencv from '@techstark/opencv-js';

export interface Mat {
  readonly rows: number;
  readonly cols: number;
  readonly data: Uint8Array;
  readonly data32F: Float32Array;
  delete(): void;
}

interface Size {
  readonly width: number;
  readonly height: number;
}

interface TermCriteria {
  readonly type: number;
  readonly maxCount: number;
  readonly epsilon: number;
}

export interface Cv {
  readonly Mat: new (rows?: number, cols?: number, type?: number) => Mat;
  readonly Size: new (width: number, height: number) => Size;
  readonly TermCriteria: new (type: number, maxCount: number, epsilon: number) => TermCriteria;
  readonly CV_8UC1: number;
  readonly CV_32FC2: number;
  readonly TermCriteria_COUNT: number;
  readonly TermCriteria_EPS: number;
  readonly OPTFLOW_USE_INITIAL_FLOW: number;
  goodFeaturesToTrack(
    image: Mat,
    corners: Mat,
    maxCorners: number,
    qualityLevel: number,
    minDistancePx: number,
    mask: Mat,
    blockSize: number,
  ): void;
  calcOpticalFlowPyrLK(
    from: Mat,
    to: Mat,
    fromPoints: Mat,
    toPoints: Mat,
    status: Mat,
    error: Mat,
    window: Size,
    maxLevel: number,
    criteria: TermCriteria,
    flags: number,
    minEigThreshold: number,
  ): void;
}

let loading: Promise<{ readonly cv: Cv }> | null = null;

/**
 * OpenCV once its wasm is ready. It comes in an object of its own because the module carries an old `then`:
 * a promise that resolved to the module itself would call it for ever.
 */
export function loadOpencv(): Promise<{ readonly cv: Cv }> {
  loading ??= new Promise((resolve) => {
    // The package's types lack the flags and let out-parameters be anything: ours stand for the few functions used.
    const cv = opencv as unknown as Cv & { onRuntimeInitialized?: () => void };
    if (typeof cv.Mat === 'function') resolve({ cv });
    else cv.onRuntimeInitialized = () => resolve({ cv });
  });
  return loading;
}
