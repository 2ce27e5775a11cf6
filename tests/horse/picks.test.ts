import { describe, expect, it } from 'vitest';
import type { Box } from '../../src/clip/types.ts';
import { newId } from '../../src/horse/ids.ts';
import { isSeenIn, keyOf, picksOf, withPick } from '../../src/horse/picks.ts';
import type { ClipRecord, HorsePick } from '../../src/horse/schema.ts';
import type { PoseFrame } from '../../src/pose/types.ts';

/** A horse of 200 x 150 px that walks 100 px a second to the right. */
const at = (timeS: number): Box => [100 * timeS, 50, 100 * timeS + 200, 200];
const frames: PoseFrame[] = Array.from({ length: 50 }, (_, i) => ({
  timeS: i / 25,
  horse: i < 10 ? null : { box: at(i / 25), view: 'right', points: {} },
  people: [],
  handlerFeet: [],
}));
const pick = (timeS: number, box = at(timeS)): HorsePick => ({ timeS, box });
const record = (more: Partial<ClipRecord>): ClipRecord => ({
  fingerprint: 'f1',
  name: 'walk.mp4',
  sizeBytes: 1,
  withersM: null,
  info: null,
  ...more,
});

describe('a horse chosen again', () => {
  it('is known where it was seen at that time', () => {
    expect(isSeenIn(pick(1), frames)).toBe(true);
    // 20 px off to each side: 180 * 130 of 2 * 30000 - 180 * 130, which is 0.64 of the union.
    const [x0, y0, x1, y1] = at(1.5);
    expect(isSeenIn(pick(1.5, [x0 + 20, y0 + 20, x1 + 20, y1 + 20]), frames)).toBe(true);
  });

  it('is another one where it stands elsewhere, or where nothing was seen', () => {
    // Half a box further on: a third of the union.
    const [x0, y0, x1, y1] = at(1);
    expect(isSeenIn(pick(1, [x0 + 100, y0, x1 + 100, y1]), frames)).toBe(false);
    expect(isSeenIn(pick(0.2), frames)).toBe(false);
    expect(isSeenIn(pick(2.5), frames)).toBe(false);
    expect(isSeenIn(pick(1), [])).toBe(false);
  });
});

describe('the picks kept with a clip', () => {
  it('are the one pick that older pages kept, too', () => {
    expect(picksOf(null)).toEqual([]);
    expect(picksOf(record({ pick: null }))).toEqual([]);
    expect(picksOf(record({ pick: pick(1) }))).toEqual([pick(1)]);
    expect(picksOf(record({ pick: null, picks: [pick(1), pick(0.5)] }))).toEqual([pick(1), pick(0.5)]);
  });

  it('have the latest first, each once', () => {
    expect(withPick([pick(1), pick(0.5)], pick(0.5))).toEqual([pick(0.5), pick(1)]);
    expect(withPick([pick(1)], null)).toEqual([pick(1)]);
  });

  it('have keys of their own, beside the one of the horse found by itself', () => {
    expect(keyOf('f1', null)).toBe('f1');
    expect(keyOf('f1', pick(1))).toBe('f1@1.000:100,50,300,200');
    expect(keyOf('f1', pick(1.5))).not.toBe(keyOf('f1', pick(1)));
  });
});

it('ids are of 128 bits and never the same', () => {
  const ids = Array.from({ length: 100 }, newId);
  expect(new Set(ids).size).toBe(100);
  for (const id of ids) expect(id).toMatch(/^[0-9a-f]{32}$/);
});
