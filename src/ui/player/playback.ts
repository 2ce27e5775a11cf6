import { type Signal, batch, effect } from '@preact/signals';
import { frameOfPicture, insideFrameS } from '../frameTimes.ts';
import type { Session } from '../session.ts';

/** Seeking takes the processor from the reading: it is done this often at most, and rests so many times as long. */
const FOLLOW_EVERY_MS = 800;
const FOLLOW_REST = 8;

const differs = (aS: number, bS: number): boolean => Math.abs(aS - bS) > 1e-4;

/** A picture that was sought is taken for shown after this, where the browser does not tell or can't. */
const SURELY_SHOWN_MS = { tells: 500, cannotTell: 50 } as const;

/**
 * Ties a video element to the session, both ways: the frame that is shown follows the video while it plays,
 * and the video seeks to the session's frame while it stands. Returns the function that unties them.
 */
export function tiePlayback(video: HTMLVideoElement, session: Session, redraw: () => void): () => void {
  const offsetS = () => session.video.peek()?.offsetS ?? 0;
  const frameAt = (mediaTimeS: number) => frameOfPicture(session.timesS.peek(), mediaTimeS + offsetS());
  const timeInside = (frame: number) => insideFrameS(session.timesS.peek(), frame) - offsetS();
  const seek = newestSeek(video);

  const seekToFrame = () => {
    if (!session.following.peek()) seek.to(timeInside(session.frame.peek()));
  };
  const settled = settling(video, session, () => {
    if (session.following.peek() || frameAt(video.currentTime) === session.frame.peek())
      session.pictureS.value = video.currentTime + offsetS();
    else seekToFrame();
  });
  const onSeeked = () => {
    if (session.following.peek() && !video.seeking) session.frame.value = frameAt(video.currentTime);
    seek.goOn();
    settled.lookLater();
    redraw();
  };
  const stopWatching = watchFrames(video, (mediaTimeS) => {
    batch(() => {
      session.pictureS.value = mediaTimeS + offsetS();
      if (!video.paused && !video.seeking) session.frame.value = frameAt(mediaTimeS);
    });
    redraw();
  });
  const stopPlaying = () => (session.playing.value = false);
  const untie = [
    effect(() => {
      if (session.playing.value) void video.play().catch(stopPlaying);
      else {
        video.pause();
        seekToFrame();
      }
    }),
    effect(() => {
      void session.frame.value;
      // The end of the reading leaves the video wherever it was sought to.
      void session.following.value;
      if (!session.playing.peek() && session.timesS.value.length > 0) seekToFrame();
    }),
    followReading(video, session, (frame) => seek.to(timeInside(frame))),
    settled.stop,
    stopWatching,
  ];
  video.addEventListener('seeked', onSeeked);
  video.addEventListener('loadeddata', seekToFrame);
  video.addEventListener('ended', stopPlaying);
  return () => {
    untie.forEach((stop) => stop());
    video.removeEventListener('seeked', onSeeked);
    video.removeEventListener('loadeddata', seekToFrame);
    video.removeEventListener('ended', stopPlaying);
  };
}

/**
 * Seeks one after the other: a time asked for in mid-seek waits, and only the newest does. A video has done seeking
 * shortly before it tells so; a time asked for in between is the newest too, so none asked for earlier may wait on.
 */
function newestSeek(video: HTMLVideoElement): { to: (timeS: number) => void; goOn: () => void } {
  let waitingS: number | null = null;
  const goOn = () => {
    if (waitingS === null || video.seeking) return;
    const timeS = waitingS;
    waitingS = null;
    if (differs(timeS, video.currentTime)) video.currentTime = timeS;
  };
  const to = (timeS: number) => {
    waitingS = timeS;
    goOn();
  };
  return { to, goOn };
}

/**
 * Looks whether a standing video came to the picture asked for, as long as it isn't told of: browsers may leave out
 * the word of a picture, or give that of an older one late. `settle` makes it so, or seeks again.
 */
function settling(
  video: HTMLVideoElement,
  session: Session,
  settle: () => void,
): { lookLater: () => void; stop: () => void } {
  const surelyMs = SURELY_SHOWN_MS['requestVideoFrameCallback' in video ? 'tells' : 'cannotTell'];
  let later: ReturnType<typeof setTimeout> | undefined;
  const untold = () => session.waiting.peek() || session.pictureS.peek() === null;
  const lookLater = () => {
    clearTimeout(later);
    later = setTimeout(() => {
      // The end of a seek is told of, and looked at then.
      if (untold() && !video.seeking && video.paused) settle();
    }, surelyMs);
  };
  const stopLooking = effect(() => {
    if (session.waiting.value && !session.playing.value) lookLater();
  });
  return {
    lookLater,
    stop: () => {
      stopLooking();
      clearTimeout(later);
    },
  };
}

/**
 * While the clip is read: seeks to its newest frame now and then, whose points are drawn once the video shows it.
 * Returns the function that ends it.
 */
function followReading(
  video: HTMLVideoElement,
  session: Session,
  seekTo: (frame: number) => void,
): () => void {
  let [soughtMs, againFromMs] = [0, 0];
  const onSeeked = () => {
    const nowMs = performance.now();
    againFromMs = nowMs + Math.max(FOLLOW_EVERY_MS, FOLLOW_REST * (nowMs - soughtMs));
  };
  video.addEventListener('seeked', onSeeked);
  const stop = effect(() => {
    const newest = session.timesS.value.length - 1;
    if (!session.following.value || newest < 0) return;
    if (!session.video.value) session.frame.value = newest;
    else if (!video.seeking && performance.now() >= againFromMs) {
      soughtMs = performance.now();
      seekTo(newest);
    }
  });
  return () => {
    stop();
    video.removeEventListener('seeked', onSeeked);
  };
}

/** Calls back with the media time of every frame that is put on the screen, until stopped. */
function watchFrames(video: HTMLVideoElement, onFrame: (mediaTimeS: number) => void): () => void {
  let id: number;
  if ('requestVideoFrameCallback' in video) {
    const next: VideoFrameRequestCallback = (_now, { mediaTime }) => {
      onFrame(mediaTime);
      id = video.requestVideoFrameCallback(next);
    };
    id = video.requestVideoFrameCallback(next);
    return () => video.cancelVideoFrameCallback(id);
  }
  const element: HTMLVideoElement = video;
  const next = () => {
    if (!element.paused) onFrame(element.currentTime);
    id = requestAnimationFrame(next);
  };
  id = requestAnimationFrame(next);
  return () => cancelAnimationFrame(id);
}

export const SPEEDS = [1, 0.5, 0.25, 0.125] as const;

export function stepFrames(session: Session, frames: number): void {
  session.playing.value = false;
  session.showFrame(session.frame.peek() + frames);
}

export function togglePlaying(session: Session): void {
  session.following.value = false;
  session.horseChoice.close();
  const atEnd = session.frame.peek() >= session.timesS.peek().length - 1;
  if (!session.playing.peek() && atEnd) session.showFrame(0);
  session.playing.value = !session.playing.peek();
}

/** Keys that work anywhere on the page but where the focus has a use of its own for them. */
export function onPlayerKey(session: Session, zoomed: Signal<boolean>, event: KeyboardEvent): void {
  const control = event.ctrlKey || event.metaKey;
  if (control && event.key.toLowerCase() === 'z') {
    event.preventDefault();
    if (event.shiftKey) session.hand.redo();
    else session.hand.undo();
    return;
  }
  if (control || event.altKey || event.defaultPrevented || isOwnKey(event.key, event.target)) return;
  const actions: Record<string, () => void> = {
    ' ': () => togglePlaying(session),
    ',': () => stepFrames(session, -1),
    '.': () => stepFrames(session, 1),
    ArrowLeft: () => stepFrames(session, -1),
    ArrowRight: () => stepFrames(session, 1),
    z: () => (zoomed.value = !zoomed.peek()),
    n: () => session.tour.next(),
  };
  const action = actions[event.key];
  if (!action) return;
  event.preventDefault();
  action();
}

/** Whether the element in focus has a use of its own for the key. */
function isOwnKey(key: string, target: EventTarget | null): boolean {
  if (!(target instanceof Element)) return false;
  if (target.closest('input:not([type=range]), textarea, select')) return true;
  if (key === ' ') return target.closest('button, summary') !== null;
  return key.startsWith('Arrow') && target.closest('input, .handles, [role=slider]') !== null;
}
