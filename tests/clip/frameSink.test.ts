import { describe, expect, it } from 'vitest';
import { FrameSink, type Wanted } from '../../src/clip/ffmpeg/frameSink.ts';

describe('frames out of raw bytes', () => {
  const FRAME_BYTES = 6;
  function run(wanted: Partial<Wanted>, timesUs: readonly (number | 'NOPTS')[], pieceBytes: number) {
    const given: (readonly [number, number])[] = [];
    let buffer = new Uint8Array(0);
    const outlet = {
      take: () => (buffer = new Uint8Array(FRAME_BYTES)),
      give: (timeUs: number) => void given.push([timeUs, buffer[0] ?? NaN]),
    };
    const sink = new FrameSink(FRAME_BYTES, { afterUs: null, maxFrames: Infinity, ...wanted }, outlet);
    const bytes = Uint8Array.from({ length: FRAME_BYTES * timesUs.length }, (_, i) =>
      Math.floor(i / FRAME_BYTES),
    );
    timesUs.forEach((pts, n) =>
      sink.readLog(`[Parsed_showinfo_1 @ 0x1] n:${n} pts: ${pts} pts_time:1 fmt:yuv420p`),
    );
    for (let from = 0; from < bytes.length; from += pieceBytes) {
      if (!sink.write(bytes.subarray(from, from + pieceBytes))) break;
    }
    return given;
  }
  const times = [0, 40_000, 90_000, 120_000];

  it.each([1, 4, 6, 7, 100])('pieces of %i bytes', (pieceBytes) => {
    expect(run({}, times, pieceBytes)).toEqual(times.map((timeUs, i) => [timeUs, i]));
  });

  it('goes on after a time, and stops when enough is given', () => {
    expect(run({ afterUs: 40_000 }, times, 5).map(([timeUs]) => timeUs)).toEqual([90_000, 120_000]);
    for (const pieceBytes of [5, 12, 13, 100])
      expect(run({ maxFrames: 2 }, times, pieceBytes).map(([timeUs]) => timeUs)).toEqual([0, 40_000]);
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
      { afterUs: null, maxFrames: 9 },
      { take: () => new Uint8Array(2), give: () => undefined },
    );
    expect(() => sink.write(new Uint8Array(2))).toThrow('time');
  });
});
