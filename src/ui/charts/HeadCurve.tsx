import { REASONS, type ReasonCode } from '../../gait/reasons.ts';
import type { HeadSample, SidePass } from '../../gait/types.ts';
import { useSession } from '../context.ts';
import { SHORT_LENGTH, type Units, formatNumber, withUnit } from '../format.ts';
import { areLengthsRefused, shownMeasure } from '../shownMeasure.ts';
import { ClipTime } from './ClipTime.tsx';
import { ChartFrame, UprightAxis } from './Frame.tsx';
import { curvePath } from './curvePath.ts';
import { linear } from './scale.ts';
import { type Sample, strideBands } from './strideBands.ts';

const LEFT_PX = 44;
const RIGHT_PX = 14;
const TOP_PX = 22;
const HEIGHT_PX = 170;
const AXIS_Y = TOP_PX + HEIGHT_PX;
const PX_PER_S = 70;
/** Room for the word over the line of the withers; where the curve runs through it, it stands beneath. */
const LABEL_PX = 60;
const LABEL_HIGH_PX = 24;

interface HeightUnit {
  readonly unit: string;
  /** Null where no length of the pass is given: the curve then shows the beat of the head only. */
  readonly factor: number | null;
}

function heightUnit(pass: SidePass, units: Units): HeightUnit {
  if (areLengthsRefused(pass)) return { unit: 'heights not known', factor: null };
  return pass.metresPerPx === null ? { unit: '% of the withers height', factor: 100 } : SHORT_LENGTH[units];
}

/** A curve says no more than the table: where that has no height of the head, a few points seen make no curve. */
function whyNotDrawn(pass: SidePass, units: Units): ReasonCode | null {
  const { measure } = shownMeasure('headAboveWithersM', pass, units);
  if (pass.head.length === 0) return 'reason' in measure ? measure.reason : 'pointHidden';
  return 'reason' in measure && !areLengthsRefused(pass) ? measure.reason : null;
}

/** Poll above the withers against time, stride by stride. */
export function HeadCurve({ pass }: { pass: SidePass }) {
  const { units } = useSession();
  const samples = pass.head.map(({ timeS, poll, withers }: HeadSample) => ({
    timeS,
    height: poll - withers,
  }));
  const unit = heightUnit(pass, units.value);
  const why = whyNotDrawn(pass, units.value);
  if (why !== null)
    return (
      <section class="chart" aria-label="Head against withers">
        <h2>Head against withers</h2>
        <p class="note">Not drawn, as the table gives no height of the head. {REASONS[why]}</p>
      </section>
    );
  return (
    <ChartFrame
      title="Head against withers"
      alternative={headInWords(samples, unit)}
      leastWidth={(pass.endS - pass.startS) * PX_PER_S + LEFT_PX + RIGHT_PX}
      note="Height of the poll above the withers. Shaded: from the lowest to the highest place within one stride, counted from hind hoof to hind hoof of the near side."
    >
      {(width) => <HeadDrawing pass={pass} samples={samples} unit={unit} width={width} />}
    </ChartFrame>
  );
}

interface HeadDrawingProps {
  pass: SidePass;
  samples: readonly Sample[];
  unit: HeightUnit;
  width: number;
}

function HeadDrawing({ pass, samples, unit, width }: HeadDrawingProps) {
  const heights = samples.map((sample) => sample.height);
  const [low, high] = [Math.min(0, ...heights), Math.max(0, ...heights)];
  const margin = (high - low || 0.1) * 0.12;
  const range = [low - margin, high + margin] as const;
  const toX = linear([pass.startS, pass.endS], [LEFT_PX, width - RIGHT_PX]);
  const toY = linear(range, [AXIS_Y, TOP_PX]);
  const atLabel = samples.filter(({ timeS }) => toX(timeS) > width - RIGHT_PX - LABEL_PX);
  const beneath = atLabel.some(
    ({ height }) => toY(0) - toY(height) > 0 && toY(0) - toY(height) < LABEL_HIGH_PX,
  );
  return (
    <svg
      class="head-curve"
      width={width}
      height={AXIS_Y + 40}
      role="img"
      aria-label={headInWords(samples, unit)}
    >
      <UprightAxis
        scale={toY}
        range={range}
        at={LEFT_PX}
        label={unit.unit}
        factor={unit.factor}
        most={5}
        across={width - RIGHT_PX}
      />
      {strideBands(pass, samples).map((band) => (
        <rect
          key={band.fromS}
          class="stride-band"
          x={toX(band.fromS) + 1}
          width={Math.max(toX(band.toS) - toX(band.fromS) - 2, 0)}
          y={toY(band.high)}
          height={toY(band.low) - toY(band.high)}
        />
      ))}
      <path class="zero" d={`M${LEFT_PX} ${toY(0)}H${width - RIGHT_PX}`} />
      <text class="zero-words" x={width - RIGHT_PX} y={toY(0) + (beneath ? 12 : -6)} text-anchor="end">
        withers
      </text>
      <path class="curve" d={curvePath(samples, toX, toY)} />
      <ClipTime toX={toX} pass={pass} topPx={TOP_PX} at={AXIS_Y} widthPx={width} />
    </svg>
  );
}

function headInWords(samples: readonly Sample[], { unit, factor }: HeightUnit): string {
  if (factor === null)
    return `Curve of the poll's height above the withers against time. No lengths are given for this pass.`;
  const heights = samples.map((sample) => sample.height * factor);
  const shown = (height: number) => withUnit(formatNumber(height, 0), unit);
  return `Curve of the poll's height above the withers: from ${shown(Math.min(...heights))} to ${shown(Math.max(...heights))}.`;
}
