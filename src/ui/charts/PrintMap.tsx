import type { SidePass, Stance } from '../../gait/types.ts';
import { useSession } from '../context.ts';
import { type Units, formatNumber, formatSigned, withUnit } from '../format.ts';
import { isFar } from '../words.ts';
import { ChartFrame, LevelAxis } from './Frame.tsx';
import { Hoof } from './Hoof.tsx';
import { type PrintScale, alongAxis, printScale } from './prints.ts';
import { type Scale, linear } from './scale.ts';

const PAD_PX = 34;
const NEAR_Y = 118;
const FAR_Y = 56;
const AXIS_Y = 152;
/** Narrower than this the figures of neighbouring strides, or the prints themselves, would run into each other. */
const LEAST_PX = { m: 36, withersHeights: 48, none: 18 } as const;
/** Length of a hoof, from memory; for the drawing only. Without lengths, a share of the way to the next print. */
const HOOF_LENGTH = { m: 0.13, withersHeights: 0.08, none: 0.7 } as const;
const LARGEST_HOOF_PX = 26;
const NOTE =
  'The prints of the toes along the track; hind hooves filled, fore hooves open. How far apart left and right were cannot be told from the side.';
const HOOKS = 'Over the hooks: overtrack, from a fore print to the next hind print of the same side';
const REFUSED =
  'No lengths are given for this pass, so the prints are evenly spaced, in the order found: how far apart they lie, and so how far a hind hoof oversteps, cannot be told.';

export function PrintMap({ pass }: { pass: SidePass }) {
  const scale = printScale(pass);
  const { units } = useSession();
  const alongs = scale ? pass.stances.map(scale.alongOf).filter((along) => along !== null) : [];
  if (!scale || alongs.length === 0)
    return (
      <section class="chart" aria-label="Prints from above">
        <h2>Prints from above</h2>
        <p class="note">Without a scale the prints cannot be drawn. Type in the height at the withers.</p>
      </section>
    );
  const range = [Math.min(...alongs) - 0.2, Math.max(...alongs) + 0.2] as const;
  return (
    <ChartFrame
      title="Prints from above"
      alternative={printsInWords(pass, scale, units.value)}
      leastWidth={(range[1] - range[0]) * LEAST_PX[scale.unit] + 2 * PAD_PX}
      startsAt={pass.direction === 'right' ? 'left' : 'right'}
      note={`${NOTE} ${lengthsNote(pass, scale, units.value)}`}
    >
      {(width) => <PrintDrawing pass={pass} scale={scale} range={range} width={width} />}
    </ChartFrame>
  );
}

interface PrintDrawingProps {
  pass: SidePass;
  scale: PrintScale;
  range: readonly [number, number];
  width: number;
}

function PrintDrawing({ pass, scale, range, width }: PrintDrawingProps) {
  const { units } = useSession();
  const ends = [PAD_PX, width - PAD_PX] as const;
  const toX = linear(range, pass.direction === 'right' ? ends : [ends[1], ends[0]]);
  const axis = alongAxis(scale.unit, units.value);
  const yOf = (stance: Stance) => (isFar(stance.limb, pass) ? FAR_Y : NEAR_Y);
  const hoofPx = Math.min(Math.max(Math.abs(toX(HOOF_LENGTH[scale.unit]) - toX(0)), 13), LARGEST_HOOF_PX);
  return (
    <svg
      class="prints"
      width={width}
      height={AXIS_Y + 40}
      role="img"
      aria-label={printsInWords(pass, scale, units.value)}
    >
      <LaneLine y={FAR_Y} width={width} words="far side" far />
      <LaneLine y={NEAR_Y} width={width} words={`near side (${pass.nearSide})`} />
      {pass.stances.map((stance, index) => {
        const along = scale.alongOf(stance);
        return (
          along !== null && (
            <Hoof
              key={index}
              limb={stance.limb}
              x={toX(along)}
              y={yOf(stance)}
              lengthPx={hoofPx}
              ahead={pass.direction === 'right' ? 1 : -1}
              far={isFar(stance.limb, pass)}
            />
          )
        );
      })}
      {scale.unit !== 'none' &&
        pass.overtracks.map((overtrack, index) => (
          <Overtrack
            key={index}
            fore={scale.alongOf(overtrack.fore)}
            hind={scale.alongOf(overtrack.hind)}
            words={overtrackWords(overtrack, scale, units.value)}
            y={yOf(overtrack.fore)}
            far={isFar(overtrack.fore.limb, pass)}
            toX={toX}
          />
        ))}
      <LevelAxis
        scale={toX}
        range={range}
        at={AXIS_Y}
        label={axis.label}
        factor={axis.factor}
        most={width / 80}
      />
    </svg>
  );
}

function LaneLine({
  y,
  width,
  words,
  far = false,
}: {
  y: number;
  width: number;
  words: string;
  far?: boolean;
}) {
  return (
    <g class={`lane ${far ? 'far' : 'near'}`}>
      <path d={`M${PAD_PX} ${y}H${width - PAD_PX}`} />
      <text x={4} y={y - 34}>
        {words}
      </text>
    </g>
  );
}

interface OvertrackProps {
  fore: number | null;
  hind: number | null;
  words: string;
  y: number;
  far: boolean;
  toX: Scale;
}

function Overtrack({ fore, hind, words, y, far, toX }: OvertrackProps) {
  if (fore === null || hind === null) return null;
  const [a, b] = [toX(fore), toX(hind)];
  const top = y - 16;
  return (
    <g class={`overtrack ${far ? 'far' : 'near'}`}>
      <path d={`M${a} ${y - 8}V${top}H${b}V${y - 8}`} />
      <text x={(a + b) / 2} y={top - 5} text-anchor="middle">
        {words}
      </text>
    </g>
  );
}

const UNKNOWN = '?';

function lengthsNote(pass: SidePass, scale: PrintScale, units: Units): string {
  if (scale.unit === 'none') return REFUSED;
  const unit = scale.unit === 'm' ? '' : ', in per cent of the withers height';
  return `${HOOKS}${unit}.${singlesWithin(pass, scale, units)}`;
}

/** How unsure a single overtrack is: half of the widest of their likely ranges. */
function singlesWithin({ overtracks }: SidePass, { unit }: PrintScale, units: Units): string {
  const halves = overtracks.flatMap(({ inM, inH }) => {
    const one = unit === 'm' ? inM : inH;
    return one && 'value' in one ? [(one.high - one.low) / 2] : [];
  });
  if (halves.length === 0) return '';
  const widest = Math.max(...halves);
  const within =
    unit === 'm'
      ? formatSigned(widest, units).replace('+', '')
      : withUnit(formatNumber(widest * 100, 0), '%');
  return ` A single one may be off by ${within}.`;
}

function overtrackWords({ m, inH }: SidePass['overtracks'][number], scale: PrintScale, units: Units): string {
  if (scale.unit === 'm') return m === null ? UNKNOWN : formatSigned(m, units);
  if (!inH || 'reason' in inH) return UNKNOWN;
  return withUnit(`${inH.value > 0 ? '+' : ''}${formatNumber(inH.value * 100, 0)}`, '%');
}

function printsInWords(pass: SidePass, scale: PrintScale, units: Units): string {
  const map = `Map of ${pass.stances.length} prints along the track, horse going to the ${pass.direction}.`;
  if (scale.unit === 'none') return `${map} ${REFUSED}`;
  const near = pass.overtracks.filter((overtrack) => overtrack.side === pass.nearSide);
  const values = near.map((overtrack) => overtrackWords(overtrack, scale, units));
  const known = values.filter((words) => words !== UNKNOWN);
  const of = scale.unit === 'm' ? '' : ', in per cent of the withers height';
  return `${map} Overtrack of the near (${pass.nearSide}) side, stride by stride${of}: ${known.join(', ') || 'not measured'}.`;
}
