import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { fingerprint } from '../../src/clip/fingerprint.ts';
import { editEndS } from '../../src/clip/isobmff.ts';
import { isRiffCutShort, kindOf } from '../../src/clip/magic.ts';
import { random } from './random.ts';

describe('edit lists', () => {
  const edit = (durationS: number, mediaTime: number | null, rate = 1) => ({ durationS, mediaTime, rate });
  it('of one stretch end where its waits and its duration end', () => {
    expect(editEndS([])).toBe(Infinity);
    expect(editEndS([edit(2, 512)])).toBe(2);
    expect(editEndS([edit(0.5, null), edit(2, 0)])).toBe(2.5);
    expect(editEndS([edit(0, 0)])).toBe(Infinity);
  });
  it('of several stretches or another speed are left to the other decoder', () => {
    expect(editEndS([edit(1, 0), edit(1, 9000)])).toBeNull();
    expect(editEndS([edit(1, 0, 0.5)])).toBeNull();
    expect(editEndS([edit(1, 0), edit(1, null)])).toBeNull();
  });
});

describe('first bytes', () => {
  const bytes = (text: string) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));
  it.each([
    ['\0\0\0\x20ftypisom', 'video'],
    ['RIFF\0\0\0\0AVI LIST', 'video'],
    ['RIFF\0\0\0\0WEBPVP8 ', 'picture'],
    ['\xff\xd8\xff\xe0', 'picture'],
    ['\0\0\0\x18ftypheic', 'picture'],
    ['%PDF-1.7', 'document'],
    ['PK\x03\x04', 'document'],
    ['Oats\r\nand hay', 'text'],
    ['\x01\x02\x03', 'unknown'],
  ])('%j: %s', (start, kind) => {
    expect(kindOf(bytes(start))).toBe(kind);
  });

  it('tell an AVI file that is shorter than it says', () => {
    const head = bytes('RIFF\x10\0\0\0AVI ');
    expect(isRiffCutShort(head, 24)).toBe(false);
    expect(isRiffCutShort(head, 23)).toBe(true);
  });
});

describe('fingerprint', () => {
  /** Computed anew with Node's own OpenSSL. */
  function expected(file: Uint8Array): string {
    const size = Buffer.alloc(8);
    size.writeBigUInt64LE(BigInt(file.length));
    const mib = 1024 * 1024;
    const parts = [size, file.subarray(0, mib), file.subarray(Math.max(0, file.length - mib))];
    return parts.reduce((hash, part) => hash.update(part), createHash('sha256')).digest('hex');
  }

  it.each([0, 10, 1024 * 1024, 1_500_000, 5_000_000])('of a file of %i bytes', async (length) => {
    const file = random(length);
    expect(await fingerprint(new Blob([file as Uint8Array<ArrayBuffer>]))).toBe(expected(file));
  });

  it('of no bytes: SHA-256 of eight zero bytes (value from Debian sha256sum)', async () => {
    expect(await fingerprint(new Blob([]))).toBe(
      'af5570f5a1810b7af78caf4bc70a660f0df51e42baf91d4de5b2328de0e83dfc',
    );
  });

  it('changes with the size and with either end', async () => {
    const file = random(3_000_000);
    const ids = await Promise.all(
      [
        file,
        file.subarray(1),
        file.with(0, 255 - (file[0] ?? 0)),
        file.with(-1 + file.length, 1 + (file.at(-1) ?? 0)),
      ].map((bytes) => fingerprint(new Blob([bytes as Uint8Array<ArrayBuffer>]))),
    );
    expect(new Set(ids).size).toBe(ids.length);
  });
});
