import type { ClipInfo } from '../clip/types.ts';
import type { Edit } from '../horse/edits.ts';
import type { PoseFrame } from '../pose/types.ts';
import type { ClipReading, PlayableVideo } from './engine.ts';
import type { Sample } from './samples.ts';
import type { Session } from './session.ts';

/** A clip that was read to its end, with all that the page had of it but what the engine measures anew. */
export interface Finished {
  readonly file: File;
  readonly clipId: string | null;
  readonly sample: Sample | null;
  readonly clip: ClipInfo | null;
  readonly video: PlayableVideo | null;
  readonly poses: readonly PoseFrame[];
  readonly reading: ClipReading | null;
  readonly troubles: readonly string[];
  readonly edits: readonly Edit[];
  readonly withersM: number | null;
  readonly frame: number;
  readonly passIndex: number;
}

/** What is shown now; null where nothing was read to its end. */
export function finishedNow(session: Session, file: File, clipId: string | null): Finished | null {
  if (session.phase.peek() !== 'done') return null;
  return {
    file,
    clipId,
    sample: session.sample.peek(),
    clip: session.clip.peek(),
    video: session.video.peek(),
    poses: session.poses.peek(),
    reading: session.reading.peek(),
    troubles: session.troubles.peek(),
    edits: session.hand.edits.peek(),
    withersM: session.withersM.peek(),
    frame: session.frame.peek(),
    passIndex: session.passIndex.peek(),
  };
}

export function showAgain(session: Session, finished: Finished): void {
  session.clip.value = finished.clip;
  session.video.value = finished.video;
  session.poses.value = finished.poses;
  session.reading.value = finished.reading;
  session.troubles.value = finished.troubles;
  session.passIndex.value = finished.passIndex;
  session.hand.begin(finished.edits);
  session.height.again(finished.withersM);
}
