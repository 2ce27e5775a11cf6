import type { LinePlot } from '../../gait/types.ts';
import { limbSide } from '../../points.ts';
import { useSession } from '../context.ts';
import { SHORT_LENGTH } from '../format.ts';
import { ChartFrame, LevelAxis, UprightAxis } from './Frame.tsx';
import { Hoof } from './Hoof.tsx';
import { bodyAt, printRanges } from './linePlots.ts';
import { alongAxis } from './prints.ts';
import { type Scale, linear } from './scale.ts';

const LEFT_PX = 44;
const RIGHT_PX = 26;
const TOP_PX = 34;
const HEIGHT_PX = 190;
const AXIS_Y = TOP_PX + HEIGHT_PX;
/** Narrower than this the prints of neighbouring steps would run into each other. */
const PX_PER_M = 44;
const HOOF_PX = 13;

/** Prints from above, with the line that the body follows drawn through them. */
export function LinePrints({ plot }: { plot: LinePlot }) {
  const { alongM } = printRanges(plot);
  return (
    <ChartFrame
      title="Prints from above"
      alternative={printsInWords(plot)}
      leastWidth={(alongM[1] - alongM[0]) * PX_PER_M + LEFT_PX + RIGHT_PX}
      note="The horse goes to the right; its left is above. Hind hooves filled, fore hooves open; a left hoof has a bar above, a right one beneath. The curve is the line that the middle of the body follows, the straight line the one that fits it best. Across the way all is drawn larger than along it."
    >
      {(width) => <LinePrintDrawing plot={plot} width={width} />}
    </ChartFrame>
  );
}

function LinePrintDrawing({ plot, width }: { plot: LinePlot; width: number }) {
  const { units, timeS } = useSession();
  const { alongM, leftM } = printRanges(plot);
  const toX = linear(alongM, [LEFT_PX, width - RIGHT_PX]);
  const toY = linear(leftM, [AXIS_Y, TOP_PX]);
  const axis = alongAxis('m', units.value);
  const cm = SHORT_LENGTH[units.value];
  const now = bodyAt(plot, timeS.value);
  return (
    <svg class="line-prints" width={width} height={AXIS_Y + 40} role="img" aria-label={printsInWords(plot)}>
      <UprightAxis
        scale={toY}
        range={leftM}
        at={LEFT_PX}
        label={`to its left, ${cm.unit}`}
        factor={cm.factor}
        most={6}
        across={width - RIGHT_PX}
      />
      <path class="zero" d={`M${LEFT_PX} ${toY(0)}H${width - RIGHT_PX}`} />
      <path class="curve" d={bodyPath(plot, toX, toY)} />
      {plot.prints.map(({ limb, alongM: along, leftM: left }, index) => (
        <g key={index} data-print={limb}>
          <Hoof limb={limb} x={toX(along)} y={toY(left)} lengthPx={HOOF_PX} ahead={1} />
          <path
            class={`side-bar ${limbSide(limb)}`}
            d={`M${toX(along) - HOOF_PX} ${toY(left) + (limbSide(limb) === 'left' ? -10 : 10)}h${HOOF_PX}`}
          />
        </g>
      ))}
      {now && <circle class="body-now" cx={toX(now.alongM)} cy={toY(now.leftM)} r="6" />}
      <LevelAxis
        scale={linear([0, alongM[1] - alongM[0]], [LEFT_PX, width - RIGHT_PX])}
        range={[0, alongM[1] - alongM[0]]}
        at={AXIS_Y}
        label={axis.label.replace('track', 'way')}
        factor={axis.factor}
        most={width / 80}
      />
    </svg>
  );
}

const bodyPath = ({ body }: LinePlot, toX: Scale, toY: Scale): string =>
  body
    .map(({ alongM, leftM }, i) => `${i === 0 ? 'M' : 'L'}${toX(alongM).toFixed(1)} ${toY(leftM).toFixed(1)}`)
    .join('');

function printsInWords({ prints }: LinePlot): string {
  const count = (side: 'left' | 'right') => prints.filter(({ limb }) => limbSide(limb) === side).length;
  return `Map of ${count('left')} prints of left hooves and ${count('right')} of right ones, with the line that the body follows between them.`;
}
