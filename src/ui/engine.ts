import type { ClipInfo } from '../clip/types.ts';
import type { SidePass } from '../gait/types.ts';
import type { PoseFrame } from '../pose/types.ts';
import type { Track } from '../track/types.ts';
import type { Correction, Edit } from '../horse/edits.ts';

/** What the page asks of the rest. The page computes nothing itself. */
export interface Engine {
  /** A clip to try the page with; null when none ships. */
  readonly sample: { readonly url: string; readonly fileName: string } | null;

  /**
   * Reads a clip from end to end. Parts arrive through the listeners as they come.
   * Rejects with an Error whose message names the cause in plain words; with an AbortError once `signal`
   * was aborted and the workers are freed.
   */
  analyse(file: File, options: AnalyseOptions): Promise<Gait>;

  /** Track and measures of the clip read last, with these corrections. Fast and without side effects. */
  remeasure(corrections: readonly Correction[], withersM: number | null): Gait;

  loadEdits(clipId: string): Promise<readonly Edit[]>;
  /** Keeps one more edit; called in the order in which they are made. */
  appendEdit(clipId: string, edit: Edit): Promise<void>;

  /** The results as JSON text, the same as the command line prints. */
  exportJson(clip: ClipInfo, gait: Gait, withersM: number | null): string;
}

export interface Gait {
  readonly track: Track;
  readonly passes: readonly SidePass[];
}

export interface AnalyseOptions {
  /** Height at the withers, m; null when not given. */
  readonly withersM: number | null;
  readonly signal: AbortSignal;
  readonly onProgress: (progress: Progress) => void;
  /** Once the clip is known to be a video; `clipId` names its content, for the corrections kept of it. */
  readonly onClip: (clip: ClipInfo, clipId: string) => void;
  /** Once something that the browser can play is there: the file itself, or a copy made for showing. */
  readonly onVideo: (video: PlayableVideo) => void;
  readonly onFrames: (frames: readonly PoseFrame[]) => void;
}

export interface Progress {
  /** What is being done, in plain words: "Looking for the horse". */
  readonly stage: string;
  readonly doneS: number;
  /** Length of the clip, s; null while it isn't known. */
  readonly durationS: number | null;
  /** Estimated; null while there is no estimate. */
  readonly secondsLeft: number | null;
}

export interface PlayableVideo {
  readonly url: string;
  /** Clip time = the video element's time + offsetS. */
  readonly offsetS: number;
}
