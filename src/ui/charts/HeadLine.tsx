import type { LinePass, LinePlot } from '../../gait/types.ts';
import { useSession } from '../context.ts';
import { SHORT_LENGTH, formatNumber, withUnit } from '../format.ts';
import { ClipTime } from './ClipTime.tsx';
import { ChartFrame, UprightAxis } from './Frame.tsx';
import { curvePath } from './curvePath.ts';
import { linear } from './scale.ts';

const LEFT_PX = 44;
const RIGHT_PX = 14;
const TOP_PX = 34;
const HEIGHT_PX = 170;
const AXIS_Y = TOP_PX + HEIGHT_PX;
const PX_PER_S = 60;
const TITLE = 'Head against the body’s line';
const POINTS = ['poll', 'muzzle'] as const;
type Point = (typeof POINTS)[number];
const LEFT_OF = { poll: 'pollLeftM', muzzle: 'muzzleLeftM' } as const;

/** How far poll and muzzle are to either side of the line that the body follows, against time. */
export function HeadLine({ pass, plot }: { pass: LinePass; plot: LinePlot }) {
  const { units } = useSession();
  const { toleranceM } = pass.measures.head;
  const cm = SHORT_LENGTH[units.value];
  const tolerance = withUnit(formatNumber(toleranceM * cm.factor, 0), cm.unit);
  const drawn = POINTS.filter((point) => 'value' in pass.measures.head[point].asideM);
  if (drawn.length === 0)
    return (
      <section class="chart" aria-label={TITLE}>
        <h2>{TITLE}</h2>
        <p class="note">Not drawn, as the table gives no number: poll and muzzle were hidden too often.</p>
      </section>
    );
  return (
    <ChartFrame
      title={TITLE}
      alternative={`How far to the horse’s left of the line that its body follows, against time: ${drawn.join(' and ')}.`}
      leastWidth={(pass.endS - pass.startS) * PX_PER_S + LEFT_PX + RIGHT_PX}
      note={`Unbroken: poll; dashed: muzzle; only where they were surely seen, and where the table has a number. Shaded: within ${tolerance} the head counts as straight, our own choice.`}
    >
      {(width) => <HeadLineDrawing pass={pass} plot={plot} drawn={drawn} width={width} />}
    </ChartFrame>
  );
}

interface HeadLineDrawingProps {
  pass: LinePass;
  plot: LinePlot;
  drawn: readonly Point[];
  width: number;
}

function HeadLineDrawing({ pass, plot, drawn, width }: HeadLineDrawingProps) {
  const { units } = useSession();
  const { toleranceM } = pass.measures.head;
  const cm = SHORT_LENGTH[units.value];
  const samples = (point: Point) =>
    plot.head.flatMap((one) => {
      const height = one[LEFT_OF[point]];
      return height === null ? [] : [{ timeS: one.timeS, height }];
    });
  const lefts = drawn.flatMap((point) => samples(point).map(({ height }) => height));
  const half = Math.max(2 * toleranceM, ...lefts.map(Math.abs)) * 1.1;
  const toX = linear([pass.startS, pass.endS], [LEFT_PX, width - RIGHT_PX]);
  const toY = linear([-half, half], [AXIS_Y, TOP_PX]);
  return (
    <svg
      class="head-line"
      width={width}
      height={AXIS_Y + 40}
      role="img"
      aria-label={`To the left of the body’s line: ${drawn.join(' and ')}`}
    >
      <UprightAxis
        scale={toY}
        range={[-half, half]}
        at={LEFT_PX}
        label={`to its left, ${cm.unit}`}
        factor={cm.factor}
        most={6}
        across={width - RIGHT_PX}
      />
      <rect
        class="stride-band"
        x={LEFT_PX}
        width={Math.max(width - RIGHT_PX - LEFT_PX, 0)}
        y={toY(toleranceM)}
        height={toY(-toleranceM) - toY(toleranceM)}
      />
      <path class="zero" d={`M${LEFT_PX} ${toY(0)}H${width - RIGHT_PX}`} />
      {drawn.map((point) => (
        <path key={point} class={`curve ${point}`} d={curvePath(samples(point), toX, toY)} />
      ))}
      <ClipTime toX={toX} pass={pass} topPx={TOP_PX} at={AXIS_Y} widthPx={width} />
    </svg>
  );
}
