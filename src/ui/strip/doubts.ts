import { type ClipPass, PASS_KINDS, type PassKind } from '../../gait/passKinds.ts';

/** A pass that is set by hand to a kind which it does not look like. */
export interface Doubt {
  readonly set: ClipPass;
  /** What most of its time was found to be. */
  readonly looksLike: PassKind;
}

/** Of passes as they are now, those most of whose time was found to be of one other kind; what was found to be none tells nothing. */
export function doubtsOf(passes: readonly ClipPass[], found: readonly ClipPass[]): Doubt[] {
  return passes.flatMap((set) => {
    const { startS, endS } = set;
    const sharedS = (one: ClipPass): number =>
      Math.max(0, Math.min(one.endS, endS) - Math.max(one.startS, startS));
    const timeS = (kind: PassKind): number =>
      found.filter((one) => one.kind === kind).reduce((sum, one) => sum + sharedS(one), 0);
    const looksLike = PASS_KINDS.find((kind) => timeS(kind) > (endS - startS) / 2);
    return looksLike && looksLike !== set.kind ? [{ set, looksLike }] : [];
  });
}
