import { describe, expect, it } from 'vitest';
import { breakdownOf, type Breakable } from '../../src/breakdown.ts';

const worker = (): EventTarget & Breakable => new EventTarget();

describe('a worker that breaks down', () => {
  it('says that its script could not be loaded', async () => {
    const one = worker();
    const broken = breakdownOf(one, 'reads clips');
    one.dispatchEvent(new Event('error'));
    await expect(broken).rejects.toThrow('The part of this page that reads clips could not be loaded');
  });

  it('says what was thrown in it', async () => {
    const one = worker();
    const broken = breakdownOf(one, 'reads clips');
    one.dispatchEvent(Object.assign(new Event('error'), { message: 'out of memory' }));
    await expect(broken).rejects.toThrow('reads clips broke down: out of memory');
  });

  it('says that an answer could not be read', async () => {
    const one = worker();
    const broken = breakdownOf(one, 'reads clips');
    one.dispatchEvent(new Event('messageerror'));
    await expect(broken).rejects.toThrow('could not be read');
  });
});
