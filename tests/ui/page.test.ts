/** The page in a real Chromium on the fixture engine: a drawn horse whose truth is known. */
import { describe, expect, it } from 'vitest';
import { DESK, type FixturePage, fixturePages } from './fixturePage.ts';
import { FPS } from './fixtureHorse.ts';

const open = fixturePages();
let fixture: FixturePage;

describe('player', () => {
  it('steps by single frames and shows exactly that frame', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(100);
    const mediaTime = fixture.page.evaluate(
      () =>
        new Promise<number>((resolve) =>
          document.querySelector('video')?.requestVideoFrameCallback((_now, seen) => resolve(seen.mediaTime)),
        ),
    );
    await fixture.page.locator('body').press('.');
    expect(await mediaTime).toBeCloseTo(101 / FPS, 3);
    await fixture.page.locator('body').press(',');
    await fixture.page.locator('body').press('ArrowLeft');
    expect(await fixture.frame()).toBe(99);
    await fixture.page.getByRole('button', { name: 'One frame on' }).click();
    expect(await fixture.frame()).toBe(100);
  });

  it('takes its keys from a button in focus too, but leaves the space bar to the button', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(100);
    await fixture.page.getByRole('button', { name: 'Closer' }).focus();
    await fixture.page.keyboard.press('.');
    expect(await fixture.frame()).toBe(101);
    await fixture.page.keyboard.press(' ');
    expect(await fixture.page.getByRole('button', { name: 'Closer' }).getAttribute('aria-pressed')).toBe(
      'true',
    );
    expect(await fixture.page.evaluate(() => globalThis.session.playing.peek())).toBe(false);
  });

  it('plays, the points going along, and stops', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.showFrame(30);
    await fixture.page.getByLabel('Speed').selectOption('0.5');
    await fixture.page.getByRole('button', { name: 'Play' }).click();
    await fixture.page.waitForFunction(() => globalThis.session.frame.peek() > 45);
    await fixture.page.getByRole('button', { name: 'Pause' }).click();
    const apart = await fixture.page.evaluate(() => {
      const shownS = document.querySelector('video')?.currentTime ?? NaN;
      return Math.abs(shownS - globalThis.session.timeS.peek());
    });
    expect(apart).toBeLessThan(2 / FPS);
    expect(await fixture.page.evaluate(() => document.querySelector('video')?.playbackRate)).toBe(0.5);
  });
});

describe('footfalls', () => {
  const duration = '[data-measure=strideDurationS] b';
  const landing = () =>
    fixture.page.evaluate(
      () => globalThis.session.pass.peek()?.stances.filter(({ limb }) => limb === 'LH')[1]?.onS ?? NaN,
    );

  it('have edges that are dragged, and the measures follow', async () => {
    fixture = await open('?auto=1', DESK);
    const before = { s: await landing(), words: await fixture.text(duration) };
    const edge = '[data-edge="LH 1 on"]';
    await fixture.page.locator(edge).scrollIntoViewIfNeeded();
    await fixture.drag(await fixture.middleOf(edge), 24, 0);
    const after = await landing();
    expect(after).toBeGreaterThan(before.s + 0.05);
    expect(await fixture.text(duration)).not.toBe(before.words);
    expect(await fixture.page.evaluate(() => globalThis.session.timeS.peek())).toBeCloseTo(after, 1);
    await fixture.page.keyboard.press('Control+z');
    expect(await landing()).toBe(before.s);
    expect(await fixture.text(duration)).toBe(before.words);
  });

  it('have edges that move by whole frames on the keyboard and remember where they were found', async () => {
    fixture = await open('?auto=1', DESK);
    const before = await landing();
    await fixture.page.locator('[data-edge="LH 1 on"]').focus();
    await fixture.page.keyboard.press('ArrowRight');
    await fixture.page.keyboard.press('Shift+ArrowRight');
    expect(await landing()).toBeCloseTo(before + 6 / FPS, 6);
    const kept = await fixture.page.evaluate(() => globalThis.session.hand.corrections.peek());
    expect(kept).toHaveLength(1);
    expect(kept[0]).toMatchObject({ kind: 'event', limb: 'LH', edge: 'on', foundS: before });
    expect(await fixture.page.evaluate(() => document.activeElement?.getAttribute('data-edge'))).toBe(
      'LH 1 on',
    );
  });

  it('have edges that never pass each other', async () => {
    fixture = await open('?auto=1', DESK);
    const edge = '[data-edge="LH 1 on"]';
    await fixture.page.locator(edge).scrollIntoViewIfNeeded();
    await fixture.drag(await fixture.middleOf(edge), 300, 0);
    const stance = await fixture.page.evaluate(
      () => globalThis.session.pass.peek()?.stances.filter(({ limb }) => limb === 'LH')[1],
    );
    expect(stance?.edited).toBe(true);
    expect((stance?.offS ?? NaN) - (stance?.onS ?? NaN)).toBeCloseTo(0.02, 6);
  });

  it('are put back one by one', async () => {
    fixture = await open('?auto=1', DESK);
    const before = await landing();
    for (const edge of ['LH 1 on', 'RF 1 off']) {
      await fixture.page.locator(`[data-edge="${edge}"]`).focus();
      await fixture.page.keyboard.press('ArrowRight');
    }
    await fixture.page.getByText('2 corrections by hand').click();
    await fixture.page.getByRole('button', { name: 'Put back left hind lands' }).click();
    expect(await landing()).toBe(before);
    expect(await fixture.page.getByText('1 correction by hand').isVisible()).toBe(true);
    await fixture.page.keyboard.press('Control+z');
    expect(await landing()).toBeGreaterThan(before);
  });

  it('show the moment that is tapped', async () => {
    fixture = await open('?auto=1', DESK);
    const chart = await fixture.box('.footfalls');
    await fixture.page.locator('.footfalls').click({ position: { x: chart.width - 20, y: 210 } });
    expect(await fixture.page.evaluate(() => globalThis.session.timeS.peek())).toBeGreaterThan(4);
  });
});

describe('measures', () => {
  it('are shown with unit and interval, in centimetres or inches, with a sentence on tap', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.page.getByLabel('Height at the withers in centimetres').fill('162');
    await fixture.page.keyboard.press('Tab');
    const length = '[data-measure=strideLengthM] .figure';
    expect((await fixture.text(length)).replaceAll('\u00a0', ' ')).toBe('1.73 m (1.66 to 1.80)');
    await fixture.page.locator('.withers select').selectOption('imperial');
    expect((await fixture.text(length)).replaceAll('\u00a0', ' ')).toBe('68 in (65 to 71)');
    await fixture.page.getByRole('button', { name: 'Overtrack' }).click();
    expect(await fixture.page.getByText('toe to toe').isVisible()).toBe(true);
    await fixture.page.reload();
    await fixture.done();
    expect(await fixture.page.getByLabel('Hands', { exact: true }).inputValue()).toBe('15');
  });

  it('say why where there is none, and what is less certain', async () => {
    fixture = await open('?auto=1', DESK);
    expect(await fixture.text('[data-measure=speedMps]')).toContain('needs the height at the withers');
    expect(await fixture.text('[data-measure=froude]')).toContain('less than one whole stride seen');
    await fixture.page.getByRole('button', { name: 'Speed for leg length' }).click();
    expect(await fixture.text('#meaning-froude')).toContain('Fewer than one whole stride of this hoof');
    expect(await fixture.text('[data-measure=overtrackM]')).toContain('8\u00a0% of the withers height');
    expect(await fixture.page.locator('.prints .overtrack text').first().textContent()).toMatch(
      /^\+\d+\u00a0%$/,
    );
    expect(await fixture.page.locator('.prints').getAttribute('aria-label')).toMatch(
      /near \(left\) side, stride by stride, in per cent of the withers height: \+\d+\u00a0%, \+/,
    );
    // Drawn to be carried about 0.16 m above withers of 1.62 m.
    expect(await fixture.text('[data-measure=headAboveWithersM]')).toMatch(
      /9\.9\u00a0% of the withers height\s*\(8\.7 to 11\.1\)/,
    );
    expect(await fixture.text('[data-measure=croupAboveWithersM]')).toContain('points hidden');
    expect(await fixture.text('[data-measure=strideDurationS] .of')).toBe('2 strides, left');
    expect(await fixture.text('[data-measure="limbPhaseFraction RH"]')).toContain('far side, less certain');
    expect(await fixture.text('[data-measure="limbPhaseFraction LF"]')).not.toContain('less certain');
    expect(await fixture.page.getByText('not a lameness or soundness examination').isVisible()).toBe(true);
  });

  it('are those of the pass that is chosen', async () => {
    fixture = await open('?auto=1', DESK);
    await fixture.page.evaluate(() => {
      const { course } = globalThis.session;
      const [first] = course.peek();
      if (first?.kind !== 'side' || !first.pass) throw new Error('The fixture has no pass');
      const overtrackM = { value: -0.05, low: -0.08, high: -0.02, n: 2, side: 'right' as const };
      const other = { startS: 2, direction: 'right' as const };
      const measures = { ...first.pass.measures, overtrackM };
      const pass = { ...first.pass, ...other, nearSide: 'right' as const, measures };
      course.value = [first, { ...first, ...other, pass }];
    });
    await fixture.page.getByRole('button', { name: /Past, to the right/ }).click();
    expect((await fixture.text('[data-measure=overtrackM] .figure')).replaceAll('\u00a0', ' ')).toBe(
      '\u22125 cm (\u22128 to \u22122)',
    );
    expect(await fixture.frame()).toBe(2 * FPS);
  });

  it('go with where the handler walks, if a quarter of the pictures or more tell it', async () => {
    fixture = await open('?auto=1', DESK);
    expect(await fixture.page.locator('.handler').count()).toBe(0);
    const walk = (every: number) =>
      fixture.page.evaluate((step) => {
        const { poses, track, course } = globalThis.session;
        const middle = (track.peek()?.pictureWidthPx ?? NaN) / 2;
        const at = (x: number) => ({ x: middle + x, y: 0, score: 1 });
        const points = { point_of_shoulder: at(0), tailhead: at(200) };
        poses.value = poses.peek().map((pose, i) => ({
          ...pose,
          horse: { box: [middle - 20, 0, middle + 220, 200] as const, view: 'left' as const, points },
          handlerFeet: i % step === 0 ? [at(pose.timeS > 3.3 ? -120 : 10)] : [],
        }));
        course.value = [...course.peek()];
      }, every);
    await walk(2);
    await fixture.page.locator('.handler').waitFor();
    expect(await fixture.text('.handler')).toMatch(
      /^The handler mostly walks beside the shoulder of the horse: in 7[1-9]\s% of the pictures/,
    );
    await walk(6);
    await fixture.page.locator('.handler').waitFor({ state: 'detached' });
  });

  it('are saved as JSON', async () => {
    fixture = await open('?auto=1', DESK);
    const download = fixture.page.waitForEvent('download');
    await fixture.page.getByRole('button', { name: 'Save the measures' }).click();
    expect((await download).suggestedFilename()).toBe('drawn-walk.ledwalk.json');
  });
});

describe('way in', () => {
  const drop = async (names: readonly string[]) => {
    await fixture.page.waitForFunction(() => globalThis.session !== undefined);
    await fixture.page.evaluate(async (given) => {
      const [sample] = (await globalThis.session.engine).samples;
      const bytes = await (await fetch(sample?.url ?? '')).blob();
      const transfer = new DataTransfer();
      for (const name of given) transfer.items.add(new File([bytes], name, { type: 'video/webm' }));
      document.body.dispatchEvent(new DragEvent('drop', { dataTransfer: transfer, bubbles: true }));
    }, names);
  };

  it('takes a clip that is dropped anywhere, one at a time', async () => {
    fixture = await open('?readingMs=1500', DESK);
    await drop(['one.webm', 'two.webm']);
    expect(await fixture.text('[role=alert]')).toBe('One clip at a time: only “one.webm” is read.');
    await drop(['three.webm']);
    await fixture.page.getByText('cancel this one before you drop another').waitFor();
    await fixture.done();
    expect(await fixture.text('.clip-line strong')).toBe('one.webm');
    await drop(['three.webm']);
    await fixture.page.getByText('three.webm').waitFor();
    expect(await fixture.page.locator('[role=alert]').count()).toBe(0);
  });

  it('shows the newest frame while it reads, until the user looks at another one', async () => {
    fixture = await open('?readingMs=12000', DESK);
    await fixture.sample().click();
    await fixture.page.waitForFunction(() => globalThis.session.frame.peek() > 40);
    expect(await fixture.text('.where')).toMatch(/^\d\.\d{3}\ss of 4\.500\ss$/);
    const apart = await fixture.page.evaluate(() => {
      const shownS = document.querySelector('video')?.currentTime ?? NaN;
      return Math.abs(shownS - globalThis.session.timeS.peek());
    });
    expect(apart).toBeLessThan(1 / FPS);
    await fixture.page.locator('body').press(',');
    const frame = await fixture.frame();
    await fixture.page.waitForTimeout(2000);
    expect(await fixture.frame()).toBe(frame);
  });

  it('says of the sample that it is drawn, and of no other clip', async () => {
    fixture = await open('', DESK);
    await fixture.sample().click();
    await fixture.done();
    expect(await fixture.text('.drawn')).toContain('drawn by a program, not filmed');
    await drop(['other.webm']);
    await fixture.done();
    expect(await fixture.page.locator('.drawn').count()).toBe(0);
  });

  it('shows how far it has come, and stops when told to', async () => {
    fixture = await open('?readingMs=20000', DESK);
    await fixture.sample().click();
    await fixture.page.waitForSelector('progress[value]');
    expect(await fixture.text('.reading')).toMatch(/Following the horse.* of 4\.5 s, about \d+\s?s left/);
    await fixture.page.getByRole('button', { name: 'Cancel' }).click();
    await fixture.page.getByRole('button', { name: 'Choose a clip' }).waitFor();
    expect(await fixture.page.locator('.failure').count()).toBe(0);
  });

  it('names the file and the cause when a file is no clip', async () => {
    fixture = await open('', DESK);
    await fixture.page.setInputFiles('input[type=file]', {
      name: 'notes.txt',
      mimeType: 'text/plain',
      buffer: Buffer.from('no clip'),
    });
    await fixture.page.waitForSelector('[role=alert]');
    expect(await fixture.text('[role=alert]')).toBe('notes.txt: This is not a video.');
  });
});
