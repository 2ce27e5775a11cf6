import type { ObservedFrame } from '../track/types.ts';

/** A frame with the feet of the handler, picture px. */
export interface LedFrame extends ObservedFrame {
  readonly handlerFeet: readonly { readonly x: number; readonly y: number }[];
}
type Led = Pick<LedFrame, 'horse' | 'handlerFeet'>;

export type HandlerPlace = 'ahead' | 'at the shoulder' | 'behind';

/** Within a fifth of the trunk's length of the point of shoulder is at the shoulder: the limit is ours. */
export const AT_THE_SHOULDER = 0.2;

/**
 * How far the handler's feet are ahead of the point of shoulder, in lengths of the trunk from there to the tailhead.
 * Null without feet, or where the horse isn't seen from the side.
 */
export function handlerAhead({ horse, handlerFeet }: Led): number | null {
  if (!horse || handlerFeet.length === 0 || (horse.view !== 'left' && horse.view !== 'right')) return null;
  const { point_of_shoulder: shoulder, tailhead } = horse.points;
  if (!shoulder || !tailhead) return null;
  const feetX = handlerFeet.reduce((sum, f) => sum + f.x, 0) / handlerFeet.length;
  const ahead = (feetX - shoulder.x) / (shoulder.x - tailhead.x);
  return Number.isFinite(ahead) ? ahead : null;
}

/** Where the handler walks, along the horse, by the feet; null where that can't be told. */
export function handlerPlace(frame: Led): HandlerPlace | null {
  const ahead = handlerAhead(frame);
  if (ahead === null) return null;
  return ahead > AT_THE_SHOULDER ? 'ahead' : ahead < -AT_THE_SHOULDER ? 'behind' : 'at the shoulder';
}

/** Where the handler walks most of the time, and in what share of the frames in which that could be told. */
export function usualHandlerPlace(
  frames: readonly Led[],
): { readonly place: HandlerPlace; readonly share: number; readonly frames: number } | null {
  const told = frames.flatMap((frame) => handlerPlace(frame) ?? []);
  const count = (place: HandlerPlace): number => told.filter((p) => p === place).length;
  const [place] = (['ahead', 'at the shoulder', 'behind'] as const).toSorted((a, b) => count(b) - count(a));
  return place && told.length > 0 ? { place, share: count(place) / told.length, frames: told.length } : null;
}
