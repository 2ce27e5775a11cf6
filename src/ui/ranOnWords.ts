/** What the network ran on, in plain words. */
import type { Refusal } from '../pose/choice.ts';
import type { RanOn } from '../pose/running.ts';
import type { BackendName } from '../pose/tensors.ts';

const WORDS: Readonly<Record<BackendName, { readonly part: string; readonly by: string }>> = {
  wasm: { part: 'the processor', by: 'WebAssembly' },
  webgl: { part: 'the graphics card', by: 'WebGL' },
  webgpu: { part: 'the graphics card', by: 'WebGPU' },
};

const REFUSALS: Readonly<Record<Refusal, string>> = {
  'not started': 'could not be started',
  'other points': 'gave other points than the processor',
  slower: 'was slower than the processor',
};

/** The part of the machine: finishes "on ...". */
export function partWords({ backend, failed }: RanOn): string {
  const { part } = WORDS[backend];
  return failed === null ? part : `${WORDS[failed].part} and, from where that failed on, on ${part}`;
}

/** What it was run with: finishes "run with ...". */
export function byWords({ backend, failed }: RanOn): string {
  const { by } = WORDS[backend];
  return failed === null ? by : `${WORDS[failed].by}, then ${by}`;
}

/** A sentence, after a space, on what else was tried; nothing where nothing was. */
export function refusedWords({ refused }: RanOn): string {
  if (refused.length === 0) return '';
  return ` On the graphics card, ${refused.map(({ backend, why }) => `${WORDS[backend].by} ${REFUSALS[why]}`).join(', and ')}.`;
}
