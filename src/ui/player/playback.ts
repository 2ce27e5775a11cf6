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
  let wantedS: number | null = null;
  const surelyMs = SURELY_SHOWN_MS['requestVideoFrameCallback' in video ? 'tells' : 'cannotTell'];
  let untold: ReturnType<typeof setTimeout> | undefined;

  const seek = (timeS: number) => {
    if (video.seeking) wantedS = timeS;
    else if (differs(timeS, video.currentTime)) video.currentTime = timeS;
  };
  const onSeeked = () => {
    if (session.following.peek()) session.frame.value = frameAt(video.currentTime);
    const next = wantedS;
    wantedS = null;
    if (next !== null && differs(next, video.currentTime)) video.currentTime = next;
    clearTimeout(untold);
    untold = setTimeout(() => {
      if (!video.seeking) session.pictureS.value = video.currentTime + offsetS();
    }, surelyMs);
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
  const seekToFrame = () => {
    if (!session.following.peek())
      seek(insideFrameS(session.timesS.peek(), session.frame.peek()) - offsetS());
  };
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
    followReading(video, session, (frame) => seek(insideFrameS(session.timesS.peek(), frame) - offsetS())),
  ];
  video.addEventListener('seeked', onSeeked);
  video.addEventListener('loadeddata', seekToFrame);
  video.addEventListener('ended', stopPlaying);
  return () => {
    untie.forEach((stop) => stop());
    stopWatching();
    clearTimeout(untold);
    video.removeEventListener('seeked', onSeeked);
    video.removeEventListener('loadeddata', seekToFrame);
    video.removeEventListener('ended', stopPlaying);
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
