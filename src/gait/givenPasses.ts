import { PASS_KINDS, type ClipPass } from './passKinds.ts';
import type { GivenPasses } from './types.ts';

/** What was kept may come from another version of the page, or be damaged. */
function isSpan(one: unknown): one is ClipPass {
  if (typeof one !== 'object' || one === null) return false;
  const { kind, startS, endS, direction } = one as Partial<Record<keyof ClipPass, unknown>>;
  return (
    PASS_KINDS.some((known) => known === kind) &&
    [undefined, 'left', 'right'].some((known) => known === direction) &&
    Number.isFinite(startS) &&
    Number.isFinite(endS) &&
    (startS as number) < (endS as number)
  );
}

/**
 * Passes set by hand, in order of time; where two overlap the later one begins as the other ends. What can be no pass is
 * left out. Null where nothing of the list can be one: then it does not count.
 */
export function spansSet({ spans }: GivenPasses): ClipPass[] | null {
  const given: readonly unknown[] = Array.isArray(spans) ? spans : [null];
  const valid = given.filter(isSpan).sort((a, b) => a.startS - b.startS);
  if (valid.length === 0 && given.length > 0) return null;
  const apart: ClipPass[] = [];
  for (const { kind, startS, endS, direction } of valid) {
    const from = Math.max(startS, apart[apart.length - 1]?.endS ?? startS);
    if (from < endS)
      apart.push({ kind, startS: from, endS, ...(kind === 'side' && direction ? { direction } : {}) });
  }
  return apart;
}
