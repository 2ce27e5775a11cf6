import type { SidePass } from '../gait/types.ts';

/** A pass is shown from its first frame, which may lie a little before its start. */
const EDGE_S = 0.1;

/** Index of the pass that a time lies in: the one at hand where that is true of it, or of none. */
export function passAt(passes: readonly SidePass[], atHand: number, timeS: number): number {
  const lies = (pass: SidePass | undefined, slackS: number) =>
    pass !== undefined && timeS >= pass.startS - slackS && timeS <= pass.endS + slackS;
  if (lies(passes[atHand], EDGE_S)) return atHand;
  const other = passes.findIndex((pass) => lies(pass, 0));
  return other < 0 ? atHand : other;
}
