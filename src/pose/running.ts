/** The networks where they run: on the backend chosen at the start; on wasm from then on, once that has failed. */
import type { PoseDetector } from '@tensorflow-models/pose-detection';
import type { GraphModel } from '@tensorflow/tfjs-converter';
import { candidateOn, firstGood, free, type Chosen, type Refused, type Ways } from './choice.ts';
import type { Engine } from './engine.ts';
import { loadNetwork, type Network } from './network.ts';
import { loadPersonFinder } from './people.ts';
import {
  filesOf,
  hasGraphicsCard,
  loadModel,
  useGraphics,
  useWasm,
  type Backend,
  type BackendName,
  type ModelFiles,
} from './tensors.ts';

const paths = {
  wasm: 'vendor/tfjs/',
  network: 'models/horse-keypoints/model.json',
  detector: 'vendor/networks/centernet.json',
  person: 'vendor/networks/movenet-lightning.json',
};

/** Where the networks come from. */
interface Files {
  readonly wasmUrl: string;
  readonly network: ModelFiles;
  readonly detector: ModelFiles;
  readonly person: ModelFiles;
}

function filesUnder(baseUrl: string): Files {
  const url = (path: string): string => new URL(path, baseUrl).href;
  return {
    wasmUrl: url(paths.wasm),
    network: filesOf(url(paths.network)),
    detector: filesOf(url(paths.detector)),
    person: filesOf(url(paths.person)),
  };
}

/** A driver that compiles slowly takes some seconds; this is for one that never answers. */
const PATIENCE_MS = 30_000;

const startOn =
  (files: Files, nowMs: () => number): Ways['start'] =>
  async (name, signal) => {
    const backend = await (name === 'wasm' ? useWasm(files.wasmUrl) : useGraphics(name, signal));
    return candidateOn(backend, () => loadNetwork(files.network), nowMs, signal);
  };

/** The keypoint network alone, on wasm. Throws an Error naming the file that could not be loaded. */
export async function networkOnWasm(baseUrl: string, nowMs: () => number): Promise<Network> {
  return (await startOn(filesUnder(baseUrl), nowMs)('wasm')).network;
}

/** All networks on one backend. */
interface Loaded {
  readonly backend: Backend;
  readonly engine: Engine;
  dispose(): Promise<void>;
}

function loaded(backend: Backend, network: Network, detector: GraphModel, person: ModelFiles): Loaded {
  let finder: Promise<PoseDetector> | null = null;
  return {
    backend,
    engine: { network, detector, personFinder: () => (finder ??= loadPersonFinder(person)) },
    async dispose() {
      network.model.dispose();
      detector.dispose();
      (await finder?.catch(() => null))?.dispose();
    },
  };
}

/** What the networks run on, and what became of the graphics card. */
export interface RanOn {
  readonly backend: BackendName;
  /** That on which they ran until it failed; null where none did. */
  readonly failed: BackendName | null;
  /** Those that were tried at the start and not taken. */
  readonly refused: readonly Refused[];
}

export class Running {
  readonly #files: Files;
  readonly #refused: readonly Refused[];
  #on: Loaded;
  #moved: Promise<void> | null = null;
  #failed: BackendName | null = null;

  private constructor(files: Files, { backend, network, refused }: Chosen, detector: GraphModel) {
    this.#files = files;
    this.#refused = refused;
    this.#on = loaded(backend, network, detector, files.person);
  }

  /** Chooses a backend, or takes the one that is forced. Throws an Error naming what could not be loaded. */
  static async start(
    baseUrl: string,
    forced: BackendName | undefined,
    nowMs: () => number,
  ): Promise<Running> {
    const files = filesUnder(baseUrl);
    const start = startOn(files, nowMs);
    const chosen: Chosen =
      forced === undefined
        ? await firstGood({ start, hasCard: hasGraphicsCard, patienceMs: PATIENCE_MS })
        : { ...(await start(forced)), refused: [] };
    const detector = await loadModel(files.detector).catch((cause: unknown) => {
      free(chosen);
      throw cause;
    });
    return new Running(files, chosen, detector);
  }

  get version(): string {
    return this.#on.engine.network.version;
  }

  ranOn(): RanOn {
    return { backend: this.#on.backend.name, failed: this.#failed, refused: this.#refused };
  }

  /**
   * Does the work, which must not change anything. Where a graphics card fails at it, or failed meanwhile, the
   * networks move to wasm and the same work is done there: nothing is lost.
   */
  async run<T>(work: (engine: Engine) => Promise<T>): Promise<T> {
    const on = this.#on;
    if (on.backend.name === 'wasm') return work(on.engine);
    try {
      const done = await work(on.engine);
      // A lost context gives zeros without a word.
      if (on === this.#on && !on.backend.isLost()) return done;
    } catch {
      // Whether it was the card's fault, wasm tells.
    }
    await (this.#moved ??= this.#moveToWasm());
    return work(this.#on.engine);
  }

  async #moveToWasm(): Promise<void> {
    const { wasmUrl, network, detector, person } = this.#files;
    const left = this.#on;
    const wasm = await useWasm(wasmUrl);
    const again = { ...left.engine.network, model: await loadModel(network) };
    this.#on = loaded(wasm, again, await loadModel(detector), person);
    this.#failed = left.backend.name;
    await left.dispose();
    left.backend.end();
  }

  async stop(): Promise<void> {
    await this.#on.dispose();
  }
}
