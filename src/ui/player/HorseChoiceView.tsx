import { type Signal, effect } from '@preact/signals';
import type { Box } from '../../clip/types.ts';
import { useSession } from '../context.ts';
import type { Session } from '../session.ts';
import { type Mapping, toView } from './geometry.ts';
import type { Picture } from './Player.tsx';

/** Looks for all horses of the frame that is shown. */
export async function lookForHorses(session: Session, video: HTMLVideoElement | null): Promise<void> {
  const clip = session.clip.peek();
  if (!clip) return;
  session.playing.value = false;
  session.hand.point.value = null;
  session.groundMarks.close();
  await session.horseChoice.look(() => shownPicture(session, video), clip.widthPx, session.timeS.peek());
}

/** Once the picture asked for is there: its time goes with the horse that is taken. */
async function shownPicture(session: Session, video: HTMLVideoElement | null): Promise<ImageBitmap> {
  if (!video || video.videoWidth === 0) throw new Error('There is no picture to look at yet.');
  await until(() => !session.waiting.value);
  return createImageBitmap(video);
}

function until(holds: () => boolean): Promise<void> {
  return new Promise((done) => {
    const stop = effect(() => {
      if (holds()) queueMicrotask(() => (stop(), done()));
    });
  });
}

/** A frame around each horse that was found; the one that is taken is followed from here on. */
export function HorseFrames({ picture }: { picture: Signal<Picture | null> }) {
  const { horseChoice } = useSession();
  const now = picture.value;
  if (!now || horseChoice.state.value !== 'found') return null;
  return (
    <div class="horse-frames">
      {horseChoice.boxes.value.map((box, index) => (
        <button
          key={index}
          type="button"
          style={placeOf(box, now.mapping)}
          aria-label={`Horse ${index + 1}: follow this one`}
          onClick={() => horseChoice.take(box)}
        >
          <span>Horse {index + 1}</span>
        </button>
      ))}
    </div>
  );
}

function placeOf([x0, y0, x1, y1]: Box, mapping: Mapping): string {
  const [from, to] = [toView(mapping, { x: x0, y: y0 }), toView(mapping, { x: x1, y: y1 })];
  return `left: ${from.x}px; top: ${from.y}px; width: ${to.x - from.x}px; height: ${to.y - from.y}px`;
}

/** What to do, said beneath the picture. */
export function HorseChoiceBar() {
  const session = useSession();
  const { horseChoice } = session;
  const state = horseChoice.state.value;
  if (state === 'closed') return null;
  const picked = session.reading.value?.pick != null;
  return (
    <div class="horse-choice" role="group" aria-label="Another horse">
      <p role="status">{choiceWords(state, horseChoice.boxes.value.length, horseChoice.failure.value)}</p>
      {picked && (
        <button type="button" onClick={() => session.followHorse(null)}>
          The horse found by itself
        </button>
      )}
      <button type="button" onClick={() => horseChoice.close()}>
        Cancel
      </button>
    </div>
  );
}

function choiceWords(state: string, horses: number, failure: string): string {
  if (state === 'looking') return 'Looking for all horses in this picture …';
  if (state === 'failed') return failure;
  if (horses === 0)
    return 'No horse was found in this picture. Go to one in which the horse is well seen and try again.';
  const what = horses === 1 ? 'One horse was found in this picture.' : `${horses} horses were found.`;
  return `${what} Tap the one to be measured: the clip is read again and it is followed from this picture on. For a horse that is not framed, go to a picture in which it is well seen and try again.`;
}
