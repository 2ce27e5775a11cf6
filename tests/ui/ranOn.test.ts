import { expect, it } from 'vitest';
import { byWords, partWords, refusedWords } from '../../src/ui/ranOnWords.ts';

it.each([
  ['wasm', null, 'the processor', 'WebAssembly'],
  ['webgl', null, 'the graphics card', 'WebGL'],
  ['webgpu', null, 'the graphics card', 'WebGPU'],
  [
    'wasm',
    'webgpu',
    'the graphics card and, from where that failed on, on the processor',
    'WebGPU, then WebAssembly',
  ],
] as const)('what ran on %s after %s', (backend, failed, part, by) => {
  expect(partWords({ backend, failed, refused: [] })).toBe(part);
  expect(byWords({ backend, failed, refused: [] })).toBe(by);
});

it('what was tried and not taken', () => {
  const ranOn = { backend: 'wasm', failed: null } as const;
  expect(refusedWords({ ...ranOn, refused: [] })).toBe('');
  const refused = [
    { backend: 'webgpu', why: 'not started' },
    { backend: 'webgl', why: 'slower' },
  ] as const;
  expect(refusedWords({ ...ranOn, refused })).toBe(
    ' On the graphics card, WebGPU could not be started, and WebGL was slower than the processor.',
  );
  expect(refusedWords({ ...ranOn, refused: [{ backend: 'webgl', why: 'other points' }] })).toBe(
    ' On the graphics card, WebGL gave other points than the processor.',
  );
});
