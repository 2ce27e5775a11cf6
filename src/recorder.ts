/** Hands what is seen in a clip to the page and to the store as it comes, and says how far the reading is. */
import type { Ending } from './clip/source.ts';
import type { ClipInfo } from './clip/types.ts';
import type { RunWriter, Store } from './horse/store.ts';
import type { SeenBy } from './observation.ts';
import type { PoseFrame } from './pose/types.ts';
import type { MotionStep } from './track/types.ts';
import type { AnalyseOptions, Progress } from './ui/engine.ts';

const CHUNK_FRAMES = 60;
/** The page is told of new frames this often. */
const SHOW_EVERY_MS = 400;

/** Before so many frames have come the time left is anybody's guess: the first ones pay for all that is set up. */
const UNTIMED_FRAMES = 5;
const TIMED_FRAMES = 10;

/** Time left, from the pace so far. */
export class Pace {
  readonly #clip: Pick<ClipInfo, 'startS' | 'durationS'>;
  #frames = 0;
  /** From where on the pace is taken. */
  #from = { ms: 0, doneS: 0 };

  constructor(clip: Pick<ClipInfo, 'startS' | 'durationS'>) {
    this.#clip = clip;
  }

  progress(stage: string, timeS: number): Progress {
    const { startS, durationS } = this.#clip;
    const doneS = Math.min(Math.max(timeS - startS, 0), durationS);
    this.#frames += 1;
    if (this.#frames === UNTIMED_FRAMES) this.#from = { ms: performance.now(), doneS };
    const timedS = doneS - this.#from.doneS;
    const spentS = (performance.now() - this.#from.ms) / 1000;
    const enough = this.#frames >= UNTIMED_FRAMES + TIMED_FRAMES && timedS > 0;
    return { stage, doneS, durationS, secondsLeft: enough ? (spentS / timedS) * (durationS - doneS) : null };
  }
}

export class Recorder {
  readonly #options: AnalyseOptions;
  readonly #pace: Pace;
  #writer: Promise<RunWriter | null> = Promise.resolve(null);
  #toStore: { pose: PoseFrame; step: MotionStep }[] = [];
  #toPage: PoseFrame[] = [];
  #shownMs = 0;

  constructor(clip: ClipInfo, options: AnalyseOptions) {
    this.#options = options;
    this.#pace = new Pace(clip);
  }

  /** Begins to keep a run under this key. A store that fails ends the keeping, not the reading. */
  keep(store: Promise<Store>, key: string, by: SeenBy): void {
    this.#writer = store.then((s) => s.beginRun(key, by)).catch(this.#failed);
  }

  add(pose: PoseFrame, step: MotionStep): void {
    this.#toStore.push({ pose, step });
    this.#toPage.push(pose);
    this.#options.onProgress(this.#pace.progress('Finding the points of the horse', pose.timeS));
    if (this.#toStore.length >= CHUNK_FRAMES) this.#write();
    if (performance.now() - this.#shownMs > SHOW_EVERY_MS) this.#show();
  }

  /** The run then counts as whole, unless a write has failed. */
  async complete(ending: Ending | null): Promise<void> {
    this.#show();
    this.#write();
    const writer = await this.#writer;
    await writer?.complete(ending).catch(this.#failed);
  }

  #show(): void {
    this.#shownMs = performance.now();
    this.#options.onFrames(this.#toPage);
    this.#toPage = [];
  }

  #write(): void {
    const seen = this.#toStore;
    this.#toStore = [];
    if (seen.length === 0) return;
    const [poses, steps] = [seen.map(({ pose }) => pose), seen.map(({ step }) => step)];
    this.#writer = this.#writer
      .then(async (writer) => {
        await writer?.append(poses, steps);
        return writer;
      })
      .catch(this.#failed);
  }

  readonly #failed = (cause: unknown): null => {
    this.#options.onTrouble(cause instanceof Error ? cause.message : String(cause));
    return null;
  };
}
