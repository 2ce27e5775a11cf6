import { useSession } from '../context.ts';
import { LevelAxis } from './Frame.tsx';
import type { Scale } from './scale.ts';

interface ClipTimeProps {
  readonly toX: Scale;
  readonly pass: { readonly startS: number; readonly endS: number };
  /** From here to the axis at `at` runs the line of the moment that the player shows. */
  readonly topPx: number;
  readonly at: number;
  readonly widthPx: number;
}

/** The time axis of a pass beneath a drawing, and the moment that the player shows. */
export function ClipTime({ toX, pass: { startS, endS }, topPx, at, widthPx }: ClipTimeProps) {
  const now = useSession().timeS.value;
  return (
    <>
      {now >= startS && now <= endS && <path class="playhead" d={`M${toX(now)} ${topPx}V${at}`} />}
      <LevelAxis scale={toX} range={[startS, endS]} at={at} label="time in the clip, s" most={widthPx / 70} />
    </>
  );
}
