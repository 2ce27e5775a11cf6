import { describe, expect, it } from 'vitest';
import { loadCore } from '../../src/clip/ffmpeg/core.ts';

/** A core's script that behaves as Emscripten's: it comes back only once its module was started. */
const script = `data:text/javascript,${encodeURIComponent(`
  export default (options) => new Promise((resolve) => {
    options.instantiateWasm({}, (instance) => resolve({ instance }));
  });
`)}`;
/** By hand, after the WebAssembly core specification 5.5: magic, version 1, then the sections. */
const EMPTY = [0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00];
/** One type () -> (), and one import "a" "b" of that type. */
const IMPORTING = [...EMPTY, 1, 4, 1, 0x60, 0, 0, 2, 7, 1, 1, 0x61, 1, 0x62, 0, 0];
const moduleOf = (bytes: number[]) => WebAssembly.compile(new Uint8Array(bytes));

describe('loadCore', () => {
  it('gives the core once its module was started', async () => {
    const core = await loadCore({ script, wasm: '' }, await moduleOf(EMPTY), 1);
    expect(core).toHaveProperty('instance');
  });

  it('rejects where the module can’t be started', async () => {
    const starting = loadCore({ script, wasm: '' }, await moduleOf(IMPORTING), 1);
    await expect(starting).rejects.toThrow(/import/i);
  });
});
