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
