import { isRider } from '../../pose/handler.ts';
import type { PoseFrame } from '../../pose/types.ts';

/** Whether a handler was seen in any frame. */
export const isLed = (poses: readonly PoseFrame[]): boolean =>
  poses.some(({ handlerFeet }) => handlerFeet.length > 0);

/** Whether somebody sits on the horse in most of the frames that show it, and nobody leads it. */
export function isOnlyRidden(poses: readonly PoseFrame[]): boolean {
  const ridden = poses.flatMap(({ horse, people }) =>
    horse ? [people.some((person) => isRider(person, horse.box))] : [],
  );
  return !isLed(poses) && ridden.filter(Boolean).length > ridden.length / 2;
}
