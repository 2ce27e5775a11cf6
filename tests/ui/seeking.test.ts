/** Which picture the video shows after frames were asked for faster than it can seek. */
import { describe, expect, it } from 'vitest';
import { DESK, type FixturePage, fixturePages } from './fixturePage.ts';
import { FPS } from './fixtureHorse.ts';

const open = fixturePages();
let fixture: FixturePage;

describe('seeking', () => {
  const shownFrame = () =>
    fixture.page.evaluate(
      (fps) => Math.floor((document.querySelector('video')?.currentTime ?? NaN) * fps),
      FPS,
    );

  it('ends at the newest frame, asked for between the end of a seek and its event', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(50);
    await fixture.page.evaluate(() => {
      const [video, { session }] = [document.querySelector('video'), globalThis];
      const askAgain = () => {
        if (video?.seeking) return;
        video?.removeEventListener('timeupdate', askAgain);
        session.showFrame(60);
      };
      // Browsers tell of the new time after the seek has ended and before they tell of its end.
      video?.addEventListener('timeupdate', askAgain);
      session.showFrame(61);
      session.showFrame(62);
    });
    await fixture.page.waitForFunction(() => globalThis.session.frame.peek() === 60);
    await fixture.page.waitForTimeout(1500);
    expect(await shownFrame()).toBe(60);
    expect(await fixture.page.evaluate(() => globalThis.session.waiting.peek())).toBe(false);
  });

  it('waits for no word of a picture for good: the one that is there counts', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(50);
    // The browser gives the word of an older picture late, and none of the one that it shows.
    await fixture.page.evaluate((timeS) => (globalThis.session.pictureS.value = timeS), 49.5 / FPS);
    await fixture.page.getByText('The picture is coming').waitFor();
    await fixture.page.waitForFunction(() => !globalThis.session.waiting.peek(), null, { timeout: 5000 });
    expect(await shownFrame()).toBe(50);
    expect(await fixture.page.evaluate(() => globalThis.session.drawnFrame.peek())).toBe(50);
  });
});
