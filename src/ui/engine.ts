import type { Box, ClipInfo } from '../clip/types.ts';
import type { Course } from '../gait/index.ts';
import type { RanOn } from '../pose/running.ts';
import type { PoseFrame } from '../pose/types.ts';
import type { Track } from '../track/types.ts';
import type { Correction, Edit } from '../horse/edits.ts';
import type { HorsePick } from '../horse/schema.ts';
import type { Sample } from './samples.ts';

/** What the page asks of the rest. The page computes nothing itself. */
export interface Engine {
  /** Clips to try the page with. */
  readonly samples: readonly Sample[];

  /**
   * Reads a clip from end to end. Parts arrive through the listeners as they come; `remeasure` gives the measures.
   * Rejects with an Error whose message names the cause in plain words; with an AbortError once `signal`
   * was aborted and the workers are freed.
   */
  analyse(file: File, options: AnalyseOptions): Promise<ClipReading>;

  /** Track and measures of the clip read last, with these corrections. Fast and without side effects. */
  remeasure(corrections: readonly Correction[], withersM: number | null): Gait;

  /** Boxes of all horses in a picture, its px, the largest first. */
  findHorses(picture: ImageBitmap, signal: AbortSignal): Promise<readonly Box[]>;

  loadEdits(clipId: string): Promise<readonly Edit[]>;
  /** Keeps one more edit; called in the order in which they are made. */
  appendEdit(clipId: string, edit: Edit): Promise<void>;
  /** Keeps the height with the clip read last. */
  keepHeight(withersM: number | null): Promise<void>;

  /** The results as JSON text, the same as the command line prints. */
  exportJson(clip: ClipInfo, gait: Gait, withersM: number | null): string;
}

export interface Gait extends Course {
  readonly track: Track;
  /** Made by hand, and counted in the above. */
  readonly corrections: readonly Correction[];
}

/** How a clip was read. */
export interface ClipReading {
  /** What is wrong with the file although it could be read, for the user. */
  readonly damage: string | null;
  readonly networkVersion: string;
  /** What the network ran on; null where its points were kept from an earlier visit. */
  readonly ranOn: RanOn | null;
  readonly frames: number;
  readonly pick: HorsePick | null;
}

export interface AnalyseOptions {
  readonly signal: AbortSignal;
  /** The horse meant; null for the one found by itself; left out for the one meant at the last visit. */
  readonly pick?: HorsePick | null;
  /** Height at the withers, m; null when not given. Kept with a clip that is read for the first time. */
  readonly withersM: number | null;
  readonly onProgress: (progress: Progress) => void;
  /** Once the clip is known to be a video; `clipId` names its content, for the corrections kept of it; null: none are. */
  readonly onClip: (clip: ClipInfo, clipId: string | null) => void;
  /** The height that was kept with this clip at an earlier visit, m. */
  readonly onHeight: (withersM: number) => void;
  /** Once something that the browser can play is there: the file itself, or a copy made for showing. */
  readonly onVideo: (video: PlayableVideo) => void;
  readonly onFrames: (frames: readonly PoseFrame[]) => void;
  /** Something that does not stop the reading but that the user must know, in plain words. */
  readonly onTrouble: (message: string) => void;
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
