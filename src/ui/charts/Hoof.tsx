import { type Limb, isFore, limbSide } from '../../points.ts';
import { LIMB_WORDS } from '../words.ts';

interface HoofProps {
  limb: Limb;
  /** Of the toe tip, px. */
  x: number;
  y: number;
  lengthPx: number;
  /** Which way the toe points. */
  ahead: 1 | -1;
  far?: boolean;
}

/** A hoof from above, toe at (x, y): a fore hoof round, a hind hoof narrower and more pointed. */
export function Hoof({ limb, x, y, lengthPx, ahead, far = false }: HoofProps) {
  const half = lengthPx * (isFore(limb) ? 0.47 : 0.4);
  const toe = isFore(limb) ? 0.12 : 0.3;
  const outline =
    `M0 0C${-toe * lengthPx * 0.3} ${-half} ${-lengthPx * 0.5} ${-half} ${-lengthPx} ${-half * 0.8}` +
    `L${-lengthPx * 0.75} 0L${-lengthPx} ${half * 0.8}C${-lengthPx * 0.5} ${half} ${-toe * lengthPx * 0.3} ${half} 0 0Z`;
  return (
    <g
      class={`hoof ${limbSide(limb)} ${far ? 'far' : 'near'}`}
      transform={`translate(${x} ${y}) scale(${ahead} 1)`}
    >
      <title>{LIMB_WORDS[limb]}</title>
      <path class={isFore(limb) ? 'fore' : 'hind'} d={outline} />
    </g>
  );
}
