import { useRef } from 'preact/hooks';
import type { LinePass, LinePlot } from '../../gait/types.ts';
import { type Limb, limbSide } from '../../points.ts';
import { Mark } from '../Mark.tsx';
import { useSession } from '../context.ts';
import { SHORT_LENGTH } from '../format.ts';
import { useSize } from '../useSize.ts';
import { LIMB_WORDS, SHORT_REASONS } from '../words.ts';
import { LevelAxis } from './Frame.tsx';
import { type Swing, hoofAt, swingReach } from './linePlots.ts';
import { type Scale, linear } from './scale.ts';

const GAP_PX = 8;
/** Border and padding of a panel. */
const FRAME_PX = 14;
const HEIGHT_PX = 96;
const PAD_PX = 16;
/** As the horse is seen from behind: fore above, left on the left. */
const PANELS: readonly Limb[] = ['LF', 'RF', 'LH', 'RH'];

/** The way of each hoof from one print to the next, as seen from behind. */
export function SwingPaths({ pass, plot }: { pass: LinePass; plot: LinePlot }) {
  const ref = useRef<HTMLDivElement>(null);
  const width = (useSize(ref).value.width - GAP_PX) / 2 - FRAME_PX;
  return (
    <section class="chart" aria-label="Swing of each hoof, from behind">
      <h2>Swing of each hoof, from behind</h2>
      <div class="swing-panels" ref={ref} style={`gap: ${GAP_PX}px`}>
        {PANELS.map(
          (limb) => width > 0 && <SwingPanel key={limb} limb={limb} pass={pass} plot={plot} width={width} />,
        )}
      </div>
      <p class="note">
        One curve for each swing; the upright line is the straight way from print to print. All four have one
        scale. How high the hoof is lifted is only roughly told.
        {pass.kind === 'towards' &&
          ' In the clip the horse is seen from in front: it is drawn here the other way round, as from behind, so that its left is on the left.'}
      </p>
    </section>
  );
}

interface SwingPanelProps {
  limb: Limb;
  pass: LinePass;
  plot: LinePlot;
  width: number;
}

/** A curve says no more than the table: where that has no number, there is none. */
const drawnIn = ({ measures }: LinePass, limb: Limb): boolean => 'value' in measures.swingOutM[limb];

function SwingPanel({ limb, pass, plot, width }: SwingPanelProps) {
  const { units, timeS } = useSession();
  const measure = pass.measures.swingOutM[limb];
  const { asideM, upM } = swingReach(
    plot,
    PANELS.filter((one) => drawnIn(pass, one)),
  );
  const cm = SHORT_LENGTH[units.value];
  // The horse's left is on the left.
  const toX = linear([asideM, -asideM], [PAD_PX, width - PAD_PX]);
  const toY = linear(upM, [HEIGHT_PX - 4, 18]);
  const now = hoofAt(plot.swings[limb], timeS.value);
  const isLeft = limbSide(limb) === 'left';
  return (
    <figure class={`swing-panel ${limbSide(limb)}`} data-swing={limb}>
      <figcaption>
        <Mark side={limbSide(limb)} /> {LIMB_WORDS[limb]}
      </figcaption>
      {'reason' in measure ? (
        <p class="note">Not drawn: {SHORT_REASONS[measure.reason]}.</p>
      ) : (
        <svg width={width} height={HEIGHT_PX + 40} role="img" aria-label={swingInWords(limb, plot)}>
          <path class="zero" d={`M${toX(0)} 14V${HEIGHT_PX}`} />
          <path class="ground-line" d={`M${PAD_PX} ${toY(0)}H${width - PAD_PX}`} />
          {plot.swings[limb].map((swing, index) => (
            <path key={index} class="swing" d={swingPath(swing, toX, toY)} />
          ))}
          {now && <circle class="body-now" cx={toX(now.leftM)} cy={toY(now.upM)} r="5" />}
          <text x={isLeft ? 4 : width - 4} y="12" text-anchor={isLeft ? 'start' : 'end'}>
            {isLeft ? '\u2190 outward' : 'outward \u2192'}
          </text>
          <LevelAxis
            scale={toX}
            range={[-asideM, asideM]}
            at={HEIGHT_PX}
            label={`to its left, ${cm.unit}`}
            factor={cm.factor}
            most={Math.max(5, width / 45)}
          />
        </svg>
      )}
    </figure>
  );
}

const swingPath = (swing: Swing, toX: Scale, toY: Scale): string =>
  swing
    .map(({ leftM, upM }, i) => `${i === 0 ? 'M' : 'L'}${toX(leftM).toFixed(1)} ${toY(upM).toFixed(1)}`)
    .join('');

function swingInWords(limb: Limb, { swings }: LinePlot): string {
  const count = swings[limb].length;
  return `${count === 1 ? 'One swing' : `${count} swings`} of the ${LIMB_WORDS[limb]} hoof, seen from behind.`;
}
