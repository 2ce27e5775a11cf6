import { type ReadonlySignal, type Signal, useComputed, useSignal, useSignalEffect } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { ClipInfo } from '../../clip/types.ts';
import type { Side } from '../../points.ts';
import { useSession } from '../context.ts';
import { Strip } from '../strip/Strip.tsx';
import type { Session } from '../session.ts';
import { useSize } from '../useSize.ts';
import { Controls } from './Controls.tsx';
import { Loupe } from './Loupe.tsx';
import { PointHandles } from './PointHandles.tsx';
import { Keys, PointPanel } from './PointPanel.tsx';
import { HorseChoiceBar, HorseFrames, lookForHorses } from './HorseChoiceView.tsx';
import { GroundMarksBar, GroundMarksView } from './GroundMarksView.tsx';
import { grabPoints } from './dragging.ts';
import {
  type Mapping,
  type Region,
  type ShownPoints,
  type Size,
  fitMapping,
  followRegions,
  pointsOfPose,
  pointsOfTrack,
  sideSeen,
  zoomMapping,
} from './geometry.ts';
import { SIDE_VIEW_POINTS, placeToBegin } from './missing.ts';
import { drawOverlay } from './overlay.ts';
import { onPlayerKey, tiePlayback } from './playback.ts';

/** What the parts of the player share. */
export interface Picture {
  readonly points: ShownPoints;
  readonly mapping: Mapping;
  readonly stage: Size;
}

const NO_PICTURE =
  'This browser cannot play the file itself. Its pictures are shown once it has been read; the points are found all the same.';
const NARROW = '(max-width: 719px)';

/** `children` come right beneath the picture. */
export function Player({ children }: { children: ComponentChildren }) {
  const session = useSession();
  const stageRef = useRef<HTMLDivElement>(null);
  const videoRef = useRef<HTMLVideoElement>(null);
  const stage = useSize(stageRef);
  const zoomed = useSignal(matchMedia(NARROW).matches);
  const speed = useSignal(1);
  const shown = useSignal(0);
  const picture = usePicture(session, stage, zoomed);

  useEffect(() => {
    const onKey = (event: KeyboardEvent) => onPlayerKey(session, zoomed, event);
    document.addEventListener('keydown', onKey);
    return () => document.removeEventListener('keydown', onKey);
  }, [session, zoomed]);
  useEffect(() => {
    const video = videoRef.current;
    return video ? tiePlayback(video, session, () => (shown.value = shown.peek() + 1)) : undefined;
  }, [session, shown]);
  useEffect(() => {
    const element = stageRef.current;
    return element ? grabPoints(element, session, picture) : undefined;
  }, [session, picture]);
  useWholePictureForMarks(session, stageRef, zoomed);
  useSignalEffect(() => {
    if (videoRef.current) videoRef.current.playbackRate = speed.value;
  });

  return (
    <section class="player" aria-label="The clip with the horse's points">
      <div
        class="stage"
        data-waiting={session.waiting.value}
        data-zoomed={zoomed.value && session.track.value !== null}
        ref={stageRef}
        style={aspectOf(session.clip.value)}
      >
        <StageVideo videoRef={videoRef} picture={picture} />
        {session.video.value === null && <p class="no-picture">{NO_PICTURE}</p>}
        <OverlayCanvas picture={picture} />
        <GroundMarksView picture={picture} />
        <PointHandles picture={picture} />
        <Loupe videoRef={videoRef} picture={picture} shown={shown} />
        <HorseFrames picture={picture} />
        {session.waiting.value && !session.playing.value && <p class="coming">The picture is coming …</p>}
      </div>
      {children}
      <HorseChoiceBar />
      <GroundMarksBar />
      {session.timesS.value.length > 0 && (
        <Controls
          speed={speed}
          zoomed={session.horseFound.value ? zoomed : null}
          onOtherHorse={() => void lookForHorses(session, videoRef.current)}
        />
      )}
      <Strip />
      {session.horseFound.value && <PointPanel picture={picture} />}
      <Keys />
    </section>
  );
}

const aspectOf = (clip: ClipInfo | null): string =>
  clip ? `--aspect: ${clip.widthPx} / ${clip.heightPx}` : '';

/** Marks lie far apart: placing them starts with the whole picture, wherever the page was scrolled to. */
function useWholePictureForMarks(
  session: Session,
  stageRef: { current: HTMLElement | null },
  zoomed: Signal<boolean>,
): void {
  useSignalEffect(() => {
    if (!session.groundMarks.open.value) return undefined;
    const before = zoomed.peek();
    zoomed.value = false;
    stageRef.current?.scrollIntoView({ block: 'nearest' });
    return () => (zoomed.value = before);
  });
}

/** The region of the frame drawn, as it was when that came up: what is put right in it does not shift it under the hand. */
function useHeldRegion(session: Session, zoomed: Signal<boolean>): ReadonlySignal<Region | null> {
  const regions = useComputed(() => {
    const track = session.track.value;
    return track ? followRegions(track) : [];
  });
  const held = useRef<{ readonly frame: number; readonly region: Region } | null>(null);
  return useComputed(() => {
    const frame = session.drawnFrame.value;
    if (!zoomed.value || !session.track.value) held.current = null;
    else if (held.current?.frame !== frame) {
      const region = regions.value[frame];
      held.current = region ? { frame, region } : null;
    }
    return held.current?.region ?? null;
  });
}

function usePicture(session: Session, stage: Signal<Size>, zoomed: Signal<boolean>): Signal<Picture | null> {
  const held = useHeldRegion(session, zoomed);
  const mapping = useComputed(() => {
    const clip = session.clip.value;
    if (!clip || stage.value.width === 0) return null;
    const size = { width: clip.widthPx, height: clip.heightPx };
    const choosing = session.horseChoice.state.value !== 'closed';
    const region = choosing ? null : held.value;
    return region ? zoomMapping(stage.value, size, region) : fitMapping(stage.value, size);
  });
  return useComputed(() => {
    if (!mapping.value) return null;
    return { points: shownPoints(session), mapping: mapping.value, stage: stage.value };
  }) as Signal<Picture | null>;
}

/** Points of the frame drawn; those set by hand, or on their way, where the hand put them. */
function shownPoints(session: Session): ShownPoints {
  const track = session.track.value;
  const frame = session.drawnFrame.value;
  const points = new Map(track ? pointsOfTrack(track, frame) : pointsOfPose(session.poses.value[frame]));
  const moving = session.hand.moving.value;
  if (moving?.timeS === session.drawnTimeS.value)
    points.set(moving.point, { x: moving.x, y: moving.y, source: 'hand', sdPx: 0 });
  const chosen = session.hand.point.value;
  if (track && chosen && !points.has(chosen) && SIDE_VIEW_POINTS.includes(chosen)) {
    const at = placeToBegin(track, session.poses.value, frame, chosen);
    points.set(chosen, { ...at, source: 'missing', sdPx: 0 });
  }
  return points;
}

interface StageVideoProps {
  videoRef: { current: HTMLVideoElement | null };
  picture: Signal<Picture | null>;
}

function StageVideo({ videoRef, picture }: StageVideoProps) {
  const session = useSession();
  useSignalEffect(() => {
    const video = videoRef.current;
    const clip = session.clip.value;
    const mapping = picture.value?.mapping;
    if (!video || !clip || !mapping) return;
    video.style.width = `${clip.widthPx * mapping.scale}px`;
    video.style.height = `${clip.heightPx * mapping.scale}px`;
    video.style.transform = `translate(${mapping.tx}px, ${mapping.ty}px)`;
  });
  const url = session.video.value?.url;
  return (
    <video
      ref={videoRef}
      {...(url !== undefined && { src: url })}
      muted
      playsInline
      preload="auto"
      aria-label="The clip itself"
      tabIndex={-1}
      onError={() => {
        session.pictureS.value = null;
        session.notice.value = 'This browser cannot show the pictures of this clip.';
      }}
    />
  );
}

function OverlayCanvas({ picture }: { picture: Signal<Picture | null> }) {
  const session = useSession();
  const ref = useRef<HTMLCanvasElement>(null);
  useSignalEffect(() => {
    const canvas = ref.current;
    const context = canvas?.getContext('2d');
    if (!canvas || !context || !picture.value) return;
    const { stage, points, mapping } = picture.value;
    fitCanvas(canvas, context, stage);
    drawOverlay(context, {
      points,
      mapping,
      nearSide: nearSideOf(session),
      selected: session.playing.value ? null : session.hand.point.value,
      byHand: new Set(session.hand.handPoints.value.keys()),
    });
  });
  return <canvas class="overlay" ref={ref} aria-hidden="true" />;
}

function nearSideOf(session: Session): Side | null {
  const frame = session.drawnFrame.value;
  const track = session.track.value;
  if (track) return track.seenSide[frame] ?? session.pass.value?.nearSide ?? null;
  return sideSeen(session.poses.value[frame]);
}

/** Sizes a canvas to device px and clears it; one unit of the context is then one px of the page. */
export function fitCanvas(canvas: HTMLCanvasElement, context: CanvasRenderingContext2D, size: Size): void {
  const ratio = window.devicePixelRatio || 1;
  const width = Math.round(size.width * ratio);
  const height = Math.round(size.height * ratio);
  if (canvas.width !== width) canvas.width = width;
  if (canvas.height !== height) canvas.height = height;
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.clearRect(0, 0, size.width, size.height);
}
