/** Truth files are what truth.schema.json says, held against it by a validator of JSON Schema (2020-12). */
import { existsSync, readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { POINT_NAMES, type PointName } from '../../src/points.ts';
import { benchSet } from '../accuracy/set.ts';
import { root } from '../support/programs.ts';
import { CLIPS, type ClipPlan } from './plans.ts';
import { TRUTH_SCHEMA, truthOf, type TruthFile } from './truth.ts';

const schema = JSON.parse(readFileSync(`${root}/tests/truth/truth.schema.json`, 'utf8')) as {
  properties: { schema: { const: string } };
};
const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(schema);
const faults = (file: unknown): string[] =>
  validate(file) ? [] : (validate.errors ?? []).map((e) => `${e.instancePath} ${e.message ?? ''}`);

const names = Object.keys(CLIPS).filter((name) => existsSync(`${root}/sample-clips/${name}.truth.json`));
const read = (name: string): TruthFile =>
  JSON.parse(readFileSync(`${root}/sample-clips/${name}.truth.json`, 'utf8')) as TruthFile;
const nothingHidden = Object.fromEntries(POINT_NAMES.map((n) => [n, false])) as Record<PointName, boolean>;
/** Its first pictures, as the file would hold them. */
const written = (plan: ClipPlan, frames: number): unknown =>
  JSON.parse(JSON.stringify(truthOf({ ...plan, camera: { ...plan.camera, frames } }, () => nothingHidden)));

describe('the schema of truth files', () => {
  it.each(names)('holds for the sample clip %s', (name) => expect(faults(read(name))).toEqual([]));

  it('holds for plans of all kinds', () => {
    expect(schema.properties.schema.const).toBe(TRUTH_SCHEMA);
    for (const plan of [...Object.values(CLIPS), ...benchSet().map((clip) => clip.plan)])
      expect(faults(written(plan, 3))).toEqual([]);
  });

  type Broken = (file: Record<string, unknown> & TruthFile) => unknown;
  it.each<[string, Broken]>([
    ['of another version', (f) => ({ ...f, schema: 'ledwalk-truth/2' })],
    ['without its stances', ({ stances: _, ...f }) => f],
    ['with a word of its own', (f) => ({ ...f, note: '' })],
    ['with a height as text', (f) => ({ ...f, withersM: String(f.withersM) })],
    ['with a pass of a kind that is none', (f) => ({ ...f, passes: [{ kind: 'trot', startS: 0, endS: 1 }] })],
    [
      'with a turn that has measures',
      (f) => ({ ...f, passes: [{ kind: 'turn', startS: 0, endS: 1, strides: 2 }] }),
    ],
    ['with a fifth limb', (f) => ({ ...f, stances: f.stances.map((s) => ({ ...s, limb: 'MH' })) })],
    ['with a point of two numbers', (f) => ({ ...f, frames: [{ ...f.frames[0], points: [[1, 2]] }] })],
    ['without a picture', (f) => ({ ...f, frames: [] })],
  ])('refuses a file %s', (_, broken) => {
    expect(faults(broken(read('side-pass') as TruthFile & Record<string, unknown>))).not.toEqual([]);
  });
});
