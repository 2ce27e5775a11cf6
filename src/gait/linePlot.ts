import { isFore, type Limb } from '../points.ts';
import { headLeftH } from './lineMeasures.ts';
import type { LinePath, Place } from './linePath.ts';
import type { LineSteps } from './lineSteps.ts';
import { outward, swingsOf } from './lineSwings.ts';
import type { LineData } from './lineView.ts';
import type { LinePlot } from './types.ts';

/** What a pass away or back is drawn from, m. */
export function linePlot(data: LineData, path: LinePath, steps: LineSteps, withersM: number): LinePlot {
  const straight = (place: Place): { alongM: number; leftM: number } => {
    const { along, left } = path.onStraight(place);
    return { alongM: along * withersM, leftM: left * withersM };
  };
  const middle = (timeS: number): Place => path.bodyAt(path.placeOf({ timeS, x: 0 }, 'middle').along);
  const swings = (limb: Limb): LinePlot['swings'][Limb] =>
    swingsOf(data, path, steps, limb).map((swing) =>
      swing.map(({ timeS, outH, upH }) => ({
        ...{ timeS, leftM: outward(limb) * outH * withersM, upM: upH * withersM },
      })),
    );
  const [poll, muzzle] = (['poll', 'muzzle'] as const).map((point) => headLeftH(data, path, point));
  const inM = (h: number | null | undefined): number | null => (typeof h === 'number' ? h * withersM : null);
  return {
    prints: steps.prints.map(({ limb, onS, offS, middleS, x }) => ({
      ...{ limb, onS, offS },
      ...straight(path.placeOf({ timeS: middleS, x }, isFore(limb) ? 'fore' : 'hind')),
    })),
    body: data.timesS.map((timeS) => ({ timeS, ...straight(middle(timeS)) })),
    swings: { LH: swings('LH'), LF: swings('LF'), RH: swings('RH'), RF: swings('RF') },
    head: data.timesS.map((timeS, i) => ({
      ...{ timeS, pollLeftM: inM(poll?.[i]), muzzleLeftM: inM(muzzle?.[i]) },
    })),
  };
}
