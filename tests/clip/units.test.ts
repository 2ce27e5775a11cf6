import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PictureBuffers, pictureIn } from '../../src/clip/buffers.ts';
import { matrixOf } from '../../src/clip/colour.ts';
import { FrameSink, type Wanted } from '../../src/clip/ffmpeg/frameSink.ts';
import { threadsFor } from '../../src/clip/ffmpeg/runtime.ts';
import { fingerprint } from '../../src/clip/fingerprint.ts';
import { editEndS } from '../../src/clip/isobmff.ts';
import { isRiffCutShort, kindOf } from '../../src/clip/magic.ts';
import { i420Bytes, i420Of, turn, type RotationDeg } from '../../src/clip/planes.ts';
import { shrinkFactor, shrunk } from '../../src/clip/shrink.ts';
import { Prefetch } from '../../src/clip/prefetch.ts';

const random = (bytes: number, seed = 1): Uint8Array => {
  let state = seed;
  return Uint8Array.from({ length: bytes }, () => (state = (state * 48271) % 2147483647) & 255);
};

describe('planes', () => {
  // Multiples of four, with even chroma too, go the quick way.
  const side = fc.oneof(
    fc.integer({ min: 1, max: 70 }),
    fc.integer({ min: 1, max: 12 }).map((n) => 8 * n),
  );
  const sizes = fc.tuple(side, side);

  it('four quarter turns give the picture back, two are a half turn, one and three undo each other', () => {
    fc.assert(
      fc.property(sizes, ([widthPx, heightPx]) => {
        const bytes = random(i420Bytes(widthPx, heightPx));
        const turnedBy = (from: Uint8Array, w: number, h: number, by: RotationDeg): Uint8Array => {
          const to = new Uint8Array(from.length);
          turn(i420Of(from, w, h), by, by === 180 ? i420Of(to, w, h) : i420Of(to, h, w));
          return to;
        };
        const once = turnedBy(bytes, widthPx, heightPx, 90);
        const twice = turnedBy(once, heightPx, widthPx, 90);
        expect(twice).toEqual(turnedBy(bytes, widthPx, heightPx, 180));
        expect(turnedBy(once, heightPx, widthPx, 270)).toEqual(bytes);
      }),
      { numRuns: 50, seed: 7 },
    );
  });

  it('a quarter turn is clockwise', () => {
    const to = new Uint8Array(6);
    const plane = Uint8Array.of(1, 2, 3, 4, 5, 6);
    const empty = new Uint8Array(2);
    const as = (y: Uint8Array, widthPx: number, heightPx: number) => ({
      widthPx,
      heightPx,
      y,
      u: empty,
      v: empty,
    });
    turn(as(plane, 3, 2), 90, as(to, 2, 3));
    expect([...to]).toEqual([4, 1, 5, 2, 6, 3]);
    const square = Uint8Array.from({ length: 32 }, (_, i) => i);
    const turnedSquare = new Uint8Array(32);
    turn(as(square, 8, 4), 90, as(turnedSquare, 4, 8));
    expect([...turnedSquare.subarray(0, 8)]).toEqual([24, 16, 8, 0, 25, 17, 9, 1]);
  });

  it('shrinking is the mean of each square, on the quick way for 1080p too', () => {
    for (const [widthPx, heightPx, factor] of [
      [24, 7, 3],
      [8, 8, 5],
      [64, 9, 6],
      [23, 9, 3],
      [1920, 12, 3],
      [17, 9, 2],
      [60, 12, 6],
    ] as const) {
      const plane = random(widthPx * heightPx);
      const small = shrunk(plane, widthPx, heightPx, factor);
      expect([small.widthPx, small.heightPx]).toEqual([
        Math.floor(widthPx / factor),
        Math.floor(heightPx / factor),
      ]);
      small.data.forEach((value, i) => {
        const [x, y] = [(i % small.widthPx) * factor, Math.floor(i / small.widthPx) * factor];
        let sum = 0;
        for (let dy = 0; dy < factor; dy++) {
          for (let dx = 0; dx < factor; dx++) sum += plane[(y + dy) * widthPx + x + dx] ?? NaN;
        }
        expect(Math.abs(value - sum / factor ** 2)).toBeLessThanOrEqual(0.5);
      });
    }
  });

  it('small pictures are at most 640 px wide', () => {
    expect([360, 640, 641, 1280, 1920, 2208, 3840].map((width) => shrinkFactor(width, 640))).toEqual([
      1, 1, 2, 2, 3, 4, 6,
    ]);
  });
});

it('threads of FFmpeg: one where two cores are busy anyway', () => {
  expect([1, 2, 3, 4, 8, 64].map(threadsFor)).toEqual([1, 1, 2, 3, 4, 4]);
});

describe('picture memory', () => {
  it('is used again for a picture of the same size, and for no other', () => {
    const buffers = new PictureBuffers();
    const first = buffers.take(640, 360);
    buffers.giveBack(first.bytes.buffer);
    expect(buffers.take(640, 360).bytes.buffer).toBe(first.bytes.buffer);
    buffers.giveBack(first.bytes.buffer);
    expect(buffers.take(320, 180).bytes.buffer).not.toBe(first.bytes.buffer);
  });

  it('holds the planes and the small picture in one buffer', () => {
    const picture = pictureIn(new PictureBuffers().take(1281, 721), {
      timeS: 0,
      matrix: 'bt709',
      fullRange: false,
    });
    expect(
      new Set([picture.y, picture.u, picture.v, picture.small.data].map((plane) => plane.buffer)).size,
    ).toBe(1);
    expect(picture.u.length).toBe(641 * 361);
    expect(picture.small.data.length).toBe(427 * 240);
  });
});

describe('running ahead', () => {
  it('makes no more than its capacity before they are taken, and all in order', async () => {
    let made = 0;
    let most = 0;
    let taken = 0;
    async function* numbers(): AsyncGenerator<number, void> {
      for (; made < 20;) {
        most = Math.max(most, made + 1 - taken);
        yield made++;
      }
    }
    const ahead = new Prefetch(numbers(), 4);
    const got: number[] = [];
    for (let item = await ahead.next(); item !== null; item = await ahead.next()) {
      got.push(item);
      taken++;
      await new Promise((resolve) => setTimeout(resolve, 1));
    }
    expect(got).toEqual(Array.from({ length: 20 }, (_, i) => i));
    // Four wait, and the one that was just taken counts until the reader has said so.
    expect(most).toBeLessThanOrEqual(5);
    expect(most).toBeGreaterThan(2);
  });

  it('gives what came before an error, then the error', async () => {
    async function* failing(): AsyncGenerator<number, void> {
      yield 1;
      throw new Error('broken');
    }
    const ahead = new Prefetch(failing(), 4);
    expect(await ahead.next()).toBe(1);
    await expect(ahead.next()).rejects.toThrow('broken');
  });

  it('ends its iterator when stopped', async () => {
    let ended = false;
    async function* endless(): AsyncGenerator<number, void> {
      try {
        for (let i = 0; ; i++) yield i;
      } finally {
        ended = true;
      }
    }
    const ahead = new Prefetch(endless(), 2);
    await ahead.next();
    await ahead.stop();
    expect(ended).toBe(true);
    expect(await ahead.next()).toBeNull();
  });
});

describe('frames out of raw bytes', () => {
  const FRAME_BYTES = 6;
  function run(wanted: Partial<Wanted>, timesUs: readonly (number | 'NOPTS')[], pieceBytes: number) {
    const given: (readonly [number, number])[] = [];
    let buffer = new Uint8Array(0);
    const outlet = {
      take: () => (buffer = new Uint8Array(FRAME_BYTES)),
      give: (timeUs: number) => void given.push([timeUs, buffer[0] ?? NaN]),
    };
    const sink = new FrameSink(
      FRAME_BYTES,
      { onShowAtUs: null, afterUs: null, maxFrames: Infinity, ...wanted },
      outlet,
    );
    const bytes = Uint8Array.from({ length: FRAME_BYTES * timesUs.length }, (_, i) =>
      Math.floor(i / FRAME_BYTES),
    );
    timesUs.forEach((pts, n) =>
      sink.readLog(`[Parsed_showinfo_1 @ 0x1] n:${n} pts: ${pts} pts_time:1 fmt:yuv420p`),
    );
    for (let from = 0; from < bytes.length; from += pieceBytes) {
      if (!sink.write(bytes.subarray(from, from + pieceBytes))) break;
    }
    sink.end();
    return given;
  }
  const times = [0, 40_000, 90_000, 120_000];

  it.each([1, 4, 6, 7, 100])('pieces of %i bytes', (pieceBytes) => {
    expect(run({}, times, pieceBytes)).toEqual(times.map((timeUs, i) => [timeUs, i]));
  });

  it('begins with the frame on show, or the first', () => {
    expect(run({ onShowAtUs: 90_000 }, times, 4).map(([timeUs]) => timeUs)).toEqual([90_000, 120_000]);
    expect(run({ onShowAtUs: 89_999 }, times, 4)).toEqual([
      [40_000, 1],
      [90_000, 2],
      [120_000, 3],
    ]);
    expect(run({ onShowAtUs: -5 }, times, 4).length).toBe(4);
    expect(run({ onShowAtUs: 1e9 }, times, 4)).toEqual([[120_000, 3]]);
  });

  it('goes on after a time, and stops when enough is given', () => {
    expect(run({ afterUs: 40_000 }, times, 5).map(([timeUs]) => timeUs)).toEqual([90_000, 120_000]);
    expect(run({ maxFrames: 2 }, times, 5).map(([timeUs]) => timeUs)).toEqual([0, 40_000]);
  });

  it('gives a frame without a time the spacing of those before', () => {
    expect(run({}, [0, 20_000, 'NOPTS'], 5).map(([timeUs]) => timeUs)).toEqual([0, 20_000, 40_000]);
  });

  it('leaves out frames whose times go back or stand still', () => {
    expect(run({}, [0, 40_000, 20_000, 40_000, 80_000], 5)).toEqual([
      [0, 0],
      [40_000, 1],
      [80_000, 4],
    ]);
  });

  it('never invents a time that the log should have told', () => {
    const sink = new FrameSink(
      2,
      { onShowAtUs: null, afterUs: null, maxFrames: 9 },
      { take: () => new Uint8Array(2), give: () => undefined },
    );
    expect(() => sink.write(new Uint8Array(2))).toThrow('time');
  });
});

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

describe('colour', () => {
  it('is as tagged, and guessed by height where it is not', () => {
    expect(matrixOf('smpte170m', 1080)).toBe('bt601');
    expect(matrixOf('bt709', 360)).toBe('bt709');
    expect(matrixOf(null, 719)).toBe('bt601');
    expect(matrixOf('unknown', 720)).toBe('bt709');
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
