/** Which parts of a drawn clip are which kind of pass. */
import type { TruthFrame } from './truth.ts';

/** From which side the horse is seen while it walks straight on; a turn; or it stands. */
export type SpanKind = TruthFrame['view'] | 'turn' | 'stand';

export interface Span {
  readonly kind: SpanKind;
  readonly startS: number;
  readonly endS: number;
}

/** Runs of frames of one kind; frames of none end a run. */
export function spansOf(
  frames: readonly TruthFrame[],
  kindOf: (frame: TruthFrame) => SpanKind | null,
): Span[] {
  const spans: Span[] = [];
  let open: SpanKind | null = null;
  for (const frame of frames) {
    const kind = kindOf(frame);
    const { timeS } = frame;
    const last = spans[spans.length - 1];
    if (kind && kind === open && last) spans[spans.length - 1] = { ...last, endS: timeS };
    else if (kind) spans.push({ kind, startS: timeS, endS: timeS });
    open = kind;
  }
  return spans;
}
