/** Networks from disk, for tests in Node. */
import { readFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { loadGraphModel, type GraphModel } from '@tensorflow/tfjs-converter';
import type { io } from '@tensorflow/tfjs-core';
import { useWasm } from '../../src/pose/tensors.ts';
import { root } from '../support/programs.ts';

/** Starts tfjs's wasm in Node. */
export const startWasm = (): Promise<unknown> =>
  useWasm(`${root}/node_modules/@tensorflow/tfjs-backend-wasm/dist/`);

/** A graph model given by the path of its JSON file. */
export function modelFromDisk(path: string): Promise<GraphModel> {
  const { weightsManifest, ...json } = JSON.parse(readFileSync(path, 'utf8')) as io.ModelJSON;
  const parts = weightsManifest
    .flatMap((group) => group.paths)
    .map((p) => readFileSync(`${dirname(path)}/${p}`));
  const bytes = Uint8Array.from(Buffer.concat(parts));
  const artifacts: io.ModelArtifacts = {
    ...json,
    weightSpecs: weightsManifest.flatMap((group) => group.weights),
    weightData: bytes.buffer,
  };
  return loadGraphModel({ load: async () => artifacts });
}
