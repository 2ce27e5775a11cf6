import { type Signal, batch, signal } from '@preact/signals';
import type { Box } from '../clip/types.ts';
import type { HorsePick } from '../horse/schema.ts';
import type { Engine } from './engine.ts';

export type ChoiceState = 'closed' | 'looking' | 'found' | 'failed';

/** Choosing another horse: all horses of the frame that is shown are looked for, and the user takes one. */
export class HorseChoice {
  readonly state: Signal<ChoiceState> = signal('closed');
  /** In picture px, the largest first. */
  readonly boxes: Signal<readonly Box[]> = signal([]);
  readonly failure: Signal<string> = signal('');
  readonly #engine: Promise<Engine>;
  readonly #take: (pick: HorsePick) => void;
  #timeS = 0;
  #looking: AbortController | null = null;

  constructor(engine: Promise<Engine>, take: (pick: HorsePick) => void) {
    this.#engine = engine;
    this.#take = take;
  }

  /** Looks at the picture that is shown, which may be a smaller copy of the clip's. */
  async look(shown: () => Promise<ImageBitmap>, clipWidthPx: number, timeS: number): Promise<void> {
    this.close();
    const controller = new AbortController();
    this.#looking = controller;
    this.#timeS = timeS;
    this.state.value = 'looking';
    try {
      const picture = await shown();
      const scale = clipWidthPx / picture.width;
      const found = await (await this.#engine).findHorses(picture, controller.signal);
      if (this.#looking !== controller) return;
      batch(() => {
        this.boxes.value = found.map((box) => inClip(box, scale));
        this.state.value = 'found';
      });
    } catch (cause) {
      if (this.#looking !== controller) return;
      this.failure.value = cause instanceof Error ? cause.message : String(cause);
      this.state.value = 'failed';
    }
  }

  take(box: Box): void {
    const timeS = this.#timeS;
    this.close();
    this.#take({ box, timeS });
  }

  close(): void {
    this.#looking?.abort();
    this.#looking = null;
    this.boxes.value = [];
    this.state.value = 'closed';
  }
}

/** Pixel centres lie at whole numbers, so half a px goes along. */
function inClip([x0, y0, x1, y1]: Box, scale: number): Box {
  const at = (px: number): number => (px + 0.5) * scale - 0.5;
  return [at(x0), at(y0), at(x1), at(y1)];
}
