import type { ClipInfo } from './types.ts';

/** Containers that <video> elements play; a clip in another one needs a copy although its frames decode. */
const PLAYABLE = ['MP4', 'QuickTime File Format', 'WebM'];

/** Whether a <video> element plays the file as it is. */
export const isPlayable = ({ decoder, container }: ClipInfo): boolean =>
  decoder === 'webcodecs' && PLAYABLE.includes(container);
