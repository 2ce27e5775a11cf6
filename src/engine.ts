/** The page's engine: the pipeline, with what was seen and corrected kept in this browser. */
import { analyseFile, playableCopy } from './analysis.ts';
import { fingerprint } from './clip/fingerprint.ts';
import type { ClipInfo } from './clip/types.ts';
import { openStore, type RunWriter, type Store } from './horse/store.ts';
import { measure, type Observed } from './pipeline.ts';
import type { PoseFrame } from './pose/types.ts';
import { resultFile } from './report/contract.ts';
import type { MotionStep } from './track/types.ts';
import type { AnalyseOptions, Engine, Gait } from './ui/engine.ts';

const CHUNK_FRAMES = 60;

/** Opened at the first need. Where the browser keeps nothing (a private window), the page works without. */
let opened: Promise<Store> | null = null;
const store = (): Promise<Store> => (opened ??= openStore());
const optional = <T>(work: Promise<T>): Promise<T | null> => work.catch(() => null);

/** What the network says depends on its version only, so what it once said of a clip is used again. */
async function seenBefore(clipId: string): Promise<Observed | null> {
  const kept = await optional(
    store().then((s) => Promise.all([s.getClip(clipId), s.loadObservations(clipId)])),
  );
  const [clip, observations] = kept ?? [];
  if (!clip?.info || !observations?.complete) return null;
  if (observations.networkVersion !== (await shippedVersion())) return null;
  return { clip: clip.info, frames: observations.frames, motion: observations.motion, ending: null };
}

async function shippedVersion(): Promise<string | null> {
  const answer = await fetch(new URL('models/horse-keypoints/meta.json', document.baseURI)).catch(() => null);
  const meta = (await answer?.json().catch(() => null)) as { version?: string } | null;
  return meta?.version ?? null;
}

/** Hands frames to the page and the store as they come, and says how far the reading is. */
class Recorder {
  readonly #options: AnalyseOptions;
  #writer: RunWriter | null = null;
  #poses: PoseFrame[] = [];
  #steps: MotionStep[] = [];
  #written: Promise<unknown> = Promise.resolve();
  #clip: ClipInfo | null = null;
  #beganMs = 0;

  constructor(options: AnalyseOptions) {
    this.#options = options;
  }

  async begin(
    clip: ClipInfo,
    clipId: string,
    withersM: number | null,
    networkVersion: string,
  ): Promise<void> {
    this.#clip = clip;
    this.#beganMs = performance.now();
    const record = { fingerprint: clipId, name: clip.name, sizeBytes: clip.sizeBytes, withersM, info: clip };
    await optional(store().then((s) => s.putClip(record)));
    this.#writer = await optional(store().then((s) => s.beginRun(clipId, networkVersion)));
  }

  add(pose: PoseFrame, step: MotionStep): void {
    this.#poses.push(pose);
    this.#steps.push(step);
    this.#options.onProgress(this.#progress(pose.timeS));
    if (this.#poses.length >= CHUNK_FRAMES) this.#flush();
  }

  async complete(): Promise<void> {
    this.#flush();
    await optional(this.#written.then(() => this.#writer?.complete()));
  }

  #flush(): void {
    const [poses, steps] = [this.#poses, this.#steps];
    [this.#poses, this.#steps] = [[], []];
    if (poses.length === 0) return;
    this.#options.onFrames(poses);
    // A write that fails ends the keeping, not the reading: the run then never counts as complete.
    this.#written = this.#written.then(() => this.#writer?.append(poses, steps));
    this.#written.catch(() => (this.#writer = null));
  }

  #progress(timeS: number): Parameters<AnalyseOptions['onProgress']>[0] {
    const { startS, durationS } = this.#clip ?? { startS: 0, durationS: 0 };
    const doneS = timeS - startS;
    const spentS = (performance.now() - this.#beganMs) / 1000;
    const secondsLeft = doneS > 0 ? Math.max(0, (spentS / doneS) * (durationS - doneS)) : null;
    return { stage: 'Finding the points of the horse', doneS, durationS, secondsLeft };
  }
}

let lastSeen: Observed | null = null;

async function analyse(file: File, options: AnalyseOptions): Promise<Gait> {
  options.onProgress({ stage: 'Opening the clip', doneS: 0, durationS: null, secondsLeft: null });
  const clipId = await fingerprint(file).catch(() => '');
  const before = clipId === '' ? null : await seenBefore(clipId);
  lastSeen = before ? await shownAgain(file, before, clipId, options) : await read(file, clipId, options);
  return measure(lastSeen, [], options.withersM);
}

const playable = (clip: ClipInfo): boolean => clip.decoder === 'webcodecs';
const asUrl = (blob: Blob): { url: string; offsetS: number } => ({
  url: URL.createObjectURL(blob),
  offsetS: 0,
});

async function shownAgain(
  file: File,
  seen: Observed,
  clipId: string,
  options: AnalyseOptions,
): Promise<Observed> {
  options.onClip(seen.clip, clipId);
  const copy = playable(seen.clip) ? file : await playableCopy(file, options.signal);
  if (copy) options.onVideo(asUrl(copy));
  options.onFrames(seen.frames);
  return seen;
}

async function read(file: File, clipId: string, options: AnalyseOptions): Promise<Observed> {
  const recorder = new Recorder(options);
  const { seen, proxy } = await analyseFile(file, {
    signal: options.signal,
    proxy: true,
    onClip: async (clip, network) => {
      await recorder.begin(clip, clipId, options.withersM, network.version);
      options.onClip(clip, clipId);
      if (playable(clip)) options.onVideo(asUrl(file));
    },
    onFrame: (pose, step) => recorder.add(pose, step),
  });
  await recorder.complete();
  if (proxy) options.onVideo(asUrl(proxy));
  return seen;
}

function remeasure(...[corrections, withersM]: Parameters<Engine['remeasure']>): Gait {
  if (!lastSeen) throw new Error('No clip has been read');
  return measure(lastSeen, corrections, withersM);
}

export const engine: Engine = {
  sample: { url: 'samples/side-pass.mp4', fileName: 'side-pass.mp4' },
  analyse,
  remeasure,
  loadEdits: async (clipId) => (await optional(store().then((s) => s.loadEdits(clipId)))) ?? [],
  appendEdit: async (clipId, edit) => (await store()).appendEdit(clipId, edit),
  exportJson: (_clip, gait, withersM) =>
    lastSeen ? JSON.stringify(resultFile(lastSeen, gait, withersM), null, 2) : '',
};
