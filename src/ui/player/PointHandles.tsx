import type { Signal } from '@preact/signals';
import { POINT_NAMES, type PointName } from '../../points.ts';
import { useSession } from '../context.ts';
import { pointWords } from '../words.ts';
import { toView } from './geometry.ts';
import { arrowStep } from './nudging.tsx';
import type { Picture } from './Player.tsx';

/** One focusable handle a point, for the keyboard and screen readers; pointers go to the stage beneath. */
export function PointHandles({ picture }: { picture: Signal<Picture | null> }) {
  const session = useSession();
  const now = picture.value;
  if (!now || session.playing.value || !session.track.value || session.groundMarks.open.value) return null;
  const onKey = (point: PointName) => (event: KeyboardEvent) => {
    const at = now.points.get(point);
    const step = at && arrowStep(event);
    if (!step || !session.canMove()) return;
    const timeS = session.drawnTimeS.peek();
    session.hand.nudge({ point, timeS, x: at.x + step.dx, y: at.y + step.dy });
  };
  return (
    <div class="handles" role="group" aria-label="Points of the horse; arrow keys move the one in focus">
      {POINT_NAMES.map((point) => {
        const at = now.points.get(point);
        if (!at) return null;
        const view = toView(now.mapping, at);
        const label = `${pointWords(point)}, ${Math.round(at.x)} across, ${Math.round(at.y)} down${
          at.source === 'missing'
            ? ', not found'
            : session.hand.handPoints.value.has(point)
              ? ', set by hand'
              : ''
        }`;
        return (
          <button
            key={point}
            type="button"
            data-point={point}
            aria-label={label}
            style={`transform: translate(${view.x}px, ${view.y}px)`}
            onFocus={() => (session.hand.point.value = point)}
            onBlur={() => session.hand.settle()}
            onKeyDown={onKey(point)}
          />
        );
      })}
    </div>
  );
}
