import 'fake-indexeddb/auto';
import { gunzipSync, gzipSync } from 'node:zlib';
import fc from 'fast-check';
import { deleteDB } from 'idb';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { applyEdits } from '../../src/horse/edits.ts';
import { SCHEMA_VERSION } from '../../src/horse/schema.ts';
import { openStore, type Store } from '../../src/horse/store.ts';
import { backup, restore } from '../../src/record/backup.ts';
import { HorseBook } from '../../src/record/book.ts';
import { REFUSALS } from '../../src/record/refusals.ts';
import { clipId, clipRecord, drag, expectSound, height, horse, idNo, lookOf } from './made.ts';
import { poses, resultOf, steps, VERSIONS, visit } from './made.ts';

const [HERE, THERE] = ['ledwalk-here', 'ledwalk-there'];
let here: Store;
let there: Store;
beforeEach(async () => {
  await Promise.all([deleteDB(HERE), deleteDB(THERE)]);
  [here, there] = await Promise.all([openStore(HERE), openStore(THERE)]);
});
afterEach(async () => {
  vi.restoreAllMocks();
  here.close();
  there.close();
  await expectSound(HERE);
  await expectSound(THERE);
});

/** A horse with a clip, whose text is meant to do harm. */
async function fill(store: Store): Promise<void> {
  const book = new HorseBook(store);
  const filly = await book.add(
    'horses',
    horse('=1+1 "<img src=x onerror=alert(1)>", {"$number":"NaN"}'),
    idNo(1),
  );
  await book.add('heights', height(filly.id), idNo(2));
  const day = await book.add('visits', visit(filly.id), idNo(3));
  await store.putClip(clipRecord(1));
  const clip = await book.get('clips', clipId(1));
  if (clip) await book.change('clips', clip, { visitId: day.id });
  const run = await store.beginRun(clipId(1), VERSIONS);
  await run.append(poses(0, 5), steps(0, 5));
  await run.append(poses(5, 2), steps(5, 2));
  await run.complete({ complete: true, lastS: 0.2, message: null });
  await (await store.beginRun(clipId(2), VERSIONS)).append(poses(0, 3), steps(0, 3));
  await store.appendEdit(clipId(1), drag('a'));
  await store.appendEdit(clipId(1), { do: 'undo' });
  await book.saveResult(resultOf(1));
}

const bytesOf = async (file: Blob): Promise<Uint8Array<ArrayBuffer>> =>
  new Uint8Array(await file.arrayBuffer());
const refusal = (file: Blob, mostBytes?: number) =>
  restore(here, file, mostBytes === undefined ? {} : { mostBytes }).then(
    () => 'restored',
    (error: { code?: string }) => error.code,
  );

describe('a backup', () => {
  it('restored to an empty browser gives the same, and once more changes nothing', async () => {
    await fill(there);
    const file = await backup(there, '0.1.0');
    const first = await restore(here, file);
    expect(first.tables.horses).toEqual({ added: 1, renewed: 0, same: 0, older: 0 });
    expect(first.tables.runs.added).toBe(2);
    const look = await lookOf(HERE);
    expect(look).toBe(await lookOf(THERE));
    const again = await restore(here, file);
    expect(again.conflicts).toEqual([]);
    for (const tally of Object.values(again.tables)) expect(tally).toMatchObject({ added: 0, renewed: 0 });
    expect(await lookOf(HERE)).toBe(look);
    expect((await here.loadObservations(clipId(1)))?.motion).toEqual(steps(0, 7));
  });

  it('is JSON by lines in gzip, as any other program unpacks it', async () => {
    await fill(there);
    const lines = gunzipSync(await bytesOf(await backup(there, '0.1.0')))
      .toString()
      .trimEnd()
      .split('\n');
    const [first, ...rest] = lines.map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(first).toMatchObject({ format: 'ledwalk-backup', schema: SCHEMA_VERSION, toolVersion: '0.1.0' });
    expect(rest.at(-1)).toMatchObject({
      records: rest.length - 1,
      sha256: expect.stringMatching(/^[0-9a-f]{64}$/),
    });
  });

  it('brings what is newer in it, and leaves what is newer here', async () => {
    await fill(there);
    const old = await backup(there, '0.1.0');
    const book = new HorseBook(there);
    const [filly] = await book.horses();
    if (!filly) throw new Error('no horse');
    await book.change('horses', filly, { note: 'shy' });
    await there.appendEdit(clipId(1), drag('b', 9));
    const now = await lookOf(THERE);
    await restore(here, old);
    const { tables } = await restore(here, await backup(there, '0.1.0'));
    expect(tables.horses.renewed).toBe(1);
    expect(tables.edits.renewed).toBe(1);
    expect(await lookOf(HERE)).toBe(now);
    const back = await restore(there, old);
    expect([back.tables.horses.older, back.tables.edits.older]).toEqual([1, 1]);
    expect(await lookOf(THERE)).toBe(now);
  });

  it.each(['ours', 'theirs'] as const)(
    'what was changed on both sides is kept twice, and settled: %s',
    async (choice) => {
      await fill(there);
      await restore(here, await backup(there, '0.1.0'));
      const [mine, other] = [new HorseBook(here), new HorseBook(there)];
      const [filly] = await mine.horses();
      if (!filly) throw new Error('no horse');
      await mine.change('horses', filly, { note: 'ours' });
      await other.change('horses', filly, { note: 'theirs' });
      await other.change('horses', { ...filly, ...(await other.horses())[0] }, { breedType: 'pony' });
      await here.appendEdit(clipId(1), drag('ours'));
      await there.appendEdit(clipId(1), drag('theirs'));
      const file = await backup(there, '0.1.0');
      const { conflicts } = await restore(here, file);
      expect(conflicts.map(({ table }) => table)).toEqual(['horses', 'edits']);
      expect((await mine.horses())[0]?.note).toBe('ours');
      expect((await restore(here, file)).conflicts).toEqual([]);
      expect(await mine.conflicts()).toHaveLength(2);
      for (const { id } of conflicts) await mine.settle(id, choice);
      expect(await mine.conflicts()).toEqual([]);
      expect((await mine.horses())[0]?.note).toBe(choice);
      expect(applyEdits(await here.loadEdits(clipId(1))).corrections).toMatchObject([{ id: choice }]);
      const settled = await lookOf(HERE);
      expect((await restore(here, file)).conflicts).toEqual([]);
      expect(await lookOf(HERE)).toBe(settled);
      // The other browser learns of the choice.
      await restore(there, await backup(here, '0.1.0'));
      expect((await other.horses())[0]?.note).toBe(choice);
    },
  );

  it('what was seen by a newer version counts, whichever comes first', async () => {
    for (const [store, observationVersion] of [
      [here, 6],
      [there, 5],
    ] as const) {
      const run = await store.beginRun(clipId(1), { ...VERSIONS, observationVersion });
      await run.append(poses(0, observationVersion), []);
      await run.complete();
    }
    const [ours, theirs] = [await backup(here, '1'), await backup(there, '1')];
    expect((await restore(here, theirs)).tables.runs.older).toBe(1);
    expect((await restore(there, ours)).tables.runs.renewed).toBe(1);
    expect((await here.loadObservations(clipId(1)))?.frames).toHaveLength(6);
    expect((await there.loadObservations(clipId(1)))?.frames).toHaveLength(6);
  });
});

describe('a file that is no whole backup', () => {
  let good: Uint8Array<ArrayBuffer>;
  let lines: string[];
  let before: string;
  beforeEach(async () => {
    await fill(there);
    good = await bytesOf(await backup(there, '0.1.0'));
    lines = gunzipSync(good).toString().trimEnd().split('\n');
    await here.appendEdit(clipId(1), drag('mine'));
    before = await lookOf(HERE);
  });
  afterEach(async () => expect(await lookOf(HERE)).toBe(before));
  const packed = (of: readonly string[]): Blob => new Blob([new Uint8Array(gzipSync(of.join('\n')))]);

  it.each([
    ['empty', () => new Blob([])],
    ['foreign', () => new Blob(['horse,height\nBay,1.48\n'])],
    ['damaged', () => new Blob([new Uint8Array([0x1f, 0x8b, 8, 0])])],
    ['foreign', () => packed(['horse,height'])],
    ['foreign', () => packed(['{"format":"another"}'])],
    ['foreign', () => packed(['null'])],
    ['newer', () => packed([lines[0]?.replace(/"schema":\d+/, '"schema":99') ?? '', '{"new":1}'])],
    ['invalid', () => packed([lines[0]?.replace(/"schema":\d+/, '"schema":1') ?? ''])],
    ['damaged', () => packed(lines.slice(0, -1))],
    ['damaged', () => packed([...lines.slice(0, 2), ...lines.slice(3)])],
    ['damaged', () => packed([...lines, lines[1] ?? ''])],
    ['damaged', () => packed([...lines.slice(0, -1), lines[1] ?? '', lines.at(-1) ?? ''])],
    ['damaged', () => packed(lines.map((line) => line.replace('1.48', '1.58')))],
    ['invalid', () => packed(lines.map((line) => line.replace('"heightM":1.48', '"heightM":"1.48"')))],
    ['invalid', () => packed(lines.map((line) => line.replace('"table":"heights"', '"table":"__proto__"')))],
    ['invalid', () => packed(lines.map((line) => line.replace('"name":', '"__proto__":{},"name":')))],
  ] as const)('%s: case %#', async (code, file) => {
    expect(Object.keys(REFUSALS)).toContain(code);
    expect(await refusal(file())).toBe(code);
  });

  it('too large, packed or unpacked', async () => {
    const bomb = new Blob([new Uint8Array(gzipSync(Buffer.alloc(40_000_000, 32)))]);
    expect(bomb.size).toBeLessThan(100_000);
    expect(await refusal(bomb, 1_000_000)).toBe('tooLarge');
    expect(await refusal(new Blob([good]), good.length - 1)).toBe('tooLarge');
  });

  it('put together by hand with a right checksum, but with links to nothing, or nested without end', async () => {
    const { sha256Hex } = await import('../../src/record/digest.ts');
    const signed = async (of: readonly string[]): Promise<Blob> => {
      let digest = '';
      for (const line of of) digest = await sha256Hex(`${digest}\n${line}`);
      return packed([...of, JSON.stringify({ records: of.length - 1, sha256: digest })]);
    };
    const [head = '', ...records] = lines.slice(0, -1);
    const without = (table: string) => records.filter((line) => !line.startsWith(`{"table":"${table}"`));
    for (const table of ['horses', 'visits', 'clips', 'runs']) {
      expect(await refusal(await signed([head, ...without(table)])), table).toBe('invalid');
    }
    expect(await refusal(await signed([head, ...records, records[0] ?? '']))).toBe('invalid');
    const changed = records.map((line) => line.replace('"toolVersion":"0.1.0"', '"toolVersion":"9"'));
    expect(await refusal(await signed([head, ...changed]))).toBe('invalid');
    const deep = `${'{"a":'.repeat(20_000)}1${'}'.repeat(20_000)}`;
    const nested = records.map((line) => line.replace(/"measures":\{/, `"measures":{"deep":${deep},`));
    expect(['invalid', 'damaged']).toContain(await refusal(await signed([head, ...nested])));
  });

  it('cut short anywhere', async () => {
    for (let length = 0; length < good.length; length += 1 + Math.floor(good.length / 150)) {
      const code = await refusal(new Blob([good.slice(0, length)]));
      expect(Object.keys(REFUSALS), `of ${length} bytes`).toContain(code);
    }
  });

  it('with a flipped bit anywhere', async () => {
    const flip = fc.record({ at: fc.nat(good.length - 1), bit: fc.nat(7) });
    await fc.assert(
      fc.asyncProperty(flip, async ({ at, bit }) => {
        // Time, system and text flag in the head of a gzip file (RFC 1952, 2.3) say nothing of its content.
        fc.pre(at < 3 || at > 9);
        const hurt = good.slice();
        hurt[at] = (hurt[at] as number) ^ (1 << bit);
        expect(Object.keys(REFUSALS)).toContain(await refusal(new Blob([hurt])));
      }),
      { numRuns: 150, seed: 1 },
    );
  });

  it('of any bytes', async () => {
    const bytes = fc.uint8Array({ maxLength: 300 });
    const zipped = bytes.map((of) => new Uint8Array(gzipSync(of)));
    await fc.assert(
      fc.asyncProperty(fc.oneof(bytes, zipped), async (of) => {
        expect(Object.keys(REFUSALS)).toContain(await refusal(new Blob([new Uint8Array(of)])));
      }),
      { numRuns: 100, seed: 2 },
    );
  });

  it('whole, but more than the storage takes', async () => {
    let left = 3;
    const original = IDBObjectStore.prototype.add;
    vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(function (this: IDBObjectStore, ...of) {
      if (left-- > 0) return original.apply(this, of);
      throw new DOMException('no room', 'QuotaExceededError');
    });
    expect(await refusal(new Blob([good]))).toBe('storageFull');
    vi.restoreAllMocks();
  });
});
