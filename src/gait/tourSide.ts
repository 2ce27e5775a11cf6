import { FETLOCK, HOOF, isFore, limbSide, type Limb } from '../points.ts';
import type { Track } from '../track/types.ts';
import { isMeasured, type StrideMean } from './interval.ts';
import { overtrackH, overtrackOf, pairUp, withoutExchanged, type PrintPair } from './lengths.ts';
import { localPolynomial } from './localPolynomial.ts';
import { between, heightsPx, seen, spanData, trunkF, type Sample, type SpanData } from './series.ts';
import { medianOf, quadrature, tQuantile975 } from './statistics.ts';
import { middleS, standsS, type TourGround, type ValueH } from './tourGround.ts';
import type { SidePass } from './types.ts';

/** A print of a side pass along the path, withers heights. */
interface Print {
  readonly limb: Limb;
  readonly value: number;
  readonly sd: number;
  readonly fromS: number;
  readonly toS: number;
}

/** Prints of one hoof whose times differ from a stride's by less than this share of it are a stride apart. */
const ONE_STRIDE = 0.45;

/** The overtrack of a side pass and the prints that it rests on; null where it was not measured. */
export function sideGround(track: Track, pass: SidePass): TourGround | null {
  const { overtrackH: now } = pass.inWithersHeights;
  const duration = pass.measures.strideDurationS;
  if (!isMeasured(now) || !isMeasured(duration)) return null;
  const prints = printsOf(pass);
  const strays = straysH(spanData(track, pass), pass, prints, duration.value);
  const of = (list: readonly Print[]): StrideMean | null =>
    overtrackH(withoutExchanged(pairsOf(list, duration.value)), pass.nearSide);
  const spread = (m: StrideMean): number => tQuantile975(m.degreesOfFreedom) * m.sd;
  const before = of(prints);
  // What no hand at a hoof changes: all of the interval that is not the strides'.
  const shared = before ? Math.sqrt(Math.max(0, ((now.high - now.low) / 2) ** 2 - spread(before) ** 2)) : 0;
  return {
    prints: prints.map(({ limb, fromS, toS }, i) => ({
      ...{ limb, fromS, toS },
      strayH: limbSide(limb) === now.side ? (strays[i] ?? 0) : 0,
    })),
    measured: (backH) => {
      const m = of(prints.map((print, i) => ({ ...print, value: print.value - (backH[i] ?? 0) })));
      return [m && ({ value: m.value, half: quadrature(spread(m), shared) } satisfies ValueH)];
    },
  };
}

/** In order of time. A stance that is cut by an end of the pass counts with the usual duration. */
function printsOf({ stances }: SidePass): Print[] {
  const usualS = (fore: boolean): number | null =>
    medianOf(
      stances.flatMap(({ limb, onS, offS }) =>
        isFore(limb) === fore && onS !== null && offS !== null ? [offS - onS] : [],
      ),
    );
  const usual = { fore: usualS(true), hind: usualS(false) };
  return stances
    .flatMap(({ limb, onS, offS, printH = null, printSdH = null, seenS }): Print[] => {
      if (printH === null || printSdH === null) return [];
      const lastsS = usual[isFore(limb) ? 'fore' : 'hind'] ?? 0;
      const fromS = onS ?? (offS === null ? seenS?.from : offS - lastsS);
      const toS = offS ?? (onS === null ? seenS?.to : onS + lastsS);
      if (fromS === undefined || toS === undefined || !(toS > fromS)) return [];
      return [{ limb, value: printH, sd: printSdH, fromS, toS }];
    })
    .sort((a, b) => middleS(a) - middleS(b));
}

function pairsOf(prints: readonly Print[], strideS: number): PrintPair<Print>[] {
  const of = (limb: Limb): Print[] => prints.filter((p) => p.limb === limb);
  return [
    ...pairUp(of('LF'), of('LH'), 'left', strideS, middleS),
    ...pairUp(of('RF'), of('RH'), 'right', strideS, middleS),
  ];
}

/**
 * How far each print lies ahead of where the rest of the pass says that it should, withers heights. Four kinds of witness
 * that know little of each other: where prints of fore (of hind) hooves lie in the body, how far toes lie ahead of their
 * fetlocks, a stride from the prints of that hoof before and after, and the usual overtrack from the print of the partner.
 * Their median does not listen to one that is itself wrong.
 */
function straysH(data: SpanData, pass: SidePass, prints: readonly Print[], strideS: number): number[] {
  const { strideLengthH } = pass.inWithersHeights;
  const strideH = isMeasured(strideLengthH) ? strideLengthH.value : null;
  const pairs = pairsOf(prints, strideS);
  const views = bodyViews(data, prints);
  const alike = [views.map((v) => v?.inBody ?? null), views.map((v) => v?.overFetlock ?? null)];
  return prints.map((print, i) => {
    const fore = prints.map(({ limb }) => isFore(limb) === isFore(print.limb));
    const said = [
      ...alike.flatMap((places) => {
        const own = places[i] ?? null;
        const others = places.flatMap((place, k) => (k !== i && fore[k] ? (place ?? []) : []));
        const usual = others.length >= 2 ? medianOf(others) : null;
        return own === null || usual === null ? [] : [own - usual];
      }),
      ...(strideH === null ? [] : fromStrides(prints, print, strideS, strideH)),
      ...fromPartner(pairs, print),
    ];
    // Of two, the median would be their mean.
    return said.length >= 3 ? (medianOf(said) ?? 0) : 0;
  });
}

interface BodyView {
  /** How far the standing toe lies ahead of the trunk in the middle of the stance, and of its fetlock, withers heights. */
  readonly inBody: number | null;
  readonly overFetlock: number | null;
}

function bodyViews(data: SpanData, prints: readonly Print[]): (BodyView | null)[] {
  const [trunk, heights] = [trunkF(data), heightsPx(data)];
  return prints.map((print) => {
    const [from, to] = standsS(print);
    const at = (places: readonly (number | null)[]): number | null =>
      localPolynomial(data.timesS, places, middleS(print), (to - from) / 2, 1)?.value ?? null;
    const heightPx = at(heights);
    if (heightPx === null) return null;
    const own = (name: typeof HOOF | typeof FETLOCK): Sample[] =>
      between(seen(data.points[name[print.limb]]), from, to);
    const joint = new Map(own(FETLOCK).map(({ timeS, f }) => [timeS, f]));
    const ahead = own(HOOF).flatMap(({ timeS, f }) => {
      const fetlockF = joint.get(timeS);
      return fetlockF === undefined ? [] : [f - fetlockF];
    });
    const inHeights = (px: number | null): number | null => px && px / heightPx;
    const [toeF, bodyF] = [medianOf(own(HOOF).map(({ f }) => f)), at(trunk)];
    return {
      inBody: toeF === null || bodyF === null ? null : inHeights(toeF - bodyF),
      overFetlock: inHeights(medianOf(ahead)),
    };
  });
}

/** From where the prints of that hoof a stride before and after put it. */
const fromStrides = (prints: readonly Print[], print: Print, strideS: number, strideH: number): number[] =>
  prints.flatMap((other) => {
    const strides = (middleS(print) - middleS(other)) / strideS;
    const isNext = other.limb === print.limb && Math.abs(Math.abs(strides) - 1) < ONE_STRIDE;
    return isNext ? [print.value - other.value - Math.sign(strides) * strideH] : [];
  });

/** From where the print of its partner and the usual overtrack put it. */
function fromPartner(pairs: readonly PrintPair<Print>[], print: Print): number[] {
  return pairs
    .filter(({ fore, hind }) => fore === print || hind === print)
    .flatMap((own) => {
      const usual = medianOf(pairs.flatMap((pair) => (pair === own ? [] : overtrackOf(pair).value)));
      const off = usual === null ? null : overtrackOf(own).value - usual;
      return off === null ? [] : [own.hind === print ? off : -off];
    });
}
