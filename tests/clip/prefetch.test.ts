import { describe, expect, it } from 'vitest';
import { threadsFor } from '../../src/clip/ffmpeg/runtime.ts';
import { Prefetch } from '../../src/clip/prefetch.ts';

describe('running ahead', () => {
  it('stops also where what it ran over can not be freed', async () => {
    async function* stuck(): AsyncGenerator<number, void> {
      try {
        for (let i = 0; ; i++) yield i;
      } finally {
        throw new Error('closed');
      }
    }
    const ahead = new Prefetch(stuck(), 2);
    await ahead.next();
    await expect(ahead.stop()).resolves.toBeUndefined();
  });

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

it('threads of FFmpeg: one where two cores are busy anyway', () => {
  expect([1, 2, 3, 4, 8, 64].map(threadsFor)).toEqual([1, 1, 2, 3, 4, 4]);
});
