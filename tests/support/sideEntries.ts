import type { ResultFile, SideEntry } from '../../src/report/contract.ts';

/** The walks past the camera of a result. */
export const sideEntries = ({ passes }: ResultFile): SideEntry[] =>
  passes.filter((pass): pass is SideEntry => pass.kind === 'side');
