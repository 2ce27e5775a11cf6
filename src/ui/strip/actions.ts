import { within } from '../charts/useEdgeDrag.ts';
import { steppedTime } from '../frameTimes.ts';
import type { Session } from '../session.ts';
import { kindOfKey } from './kinds.ts';
import type { Border, Part } from './parts.ts';

/** Moves a border by whole frames and shows the one where the later part begins. */
export function stepBorder(session: Session, border: Border, frames: number): void {
  const to = within(border, steppedTime(session.timesS.peek(), border.timeS, frames));
  if (to === border.timeS) return;
  session.playing.value = false;
  session.courseEdits.moveBorder(border, to);
  session.showTime(to);
}

/** One key makes the part another kind. `part`: the one in focus, else the chosen one. */
export function onKindKey(session: Session, event: KeyboardEvent, part?: Part): void {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const kind = kindOfKey(event.key);
  const chosen = part ?? session.courseEdits.part.peek();
  if (kind === undefined || !chosen) return;
  event.preventDefault();
  if (session.passIndex.peek() !== (chosen.index ?? -1)) session.choosePass(chosen.index ?? -1, chosen.fromS);
  session.courseEdits.setKind(chosen, kind);
}
