import type { FrameMessage } from './program.ts';

/** The messages of one run, one after the other. */
export class Inbox {
  private readonly messages: FrameMessage[] = [];
  private failure: { readonly error: unknown } | null = null;
  private ended = false;
  private wake: () => void = () => undefined;

  constructor(port: MessagePort) {
    port.onmessage = (event: MessageEvent<FrameMessage>) => {
      this.ended ||= event.data.kind === 'end';
      this.messages.push(event.data);
      this.wake();
    };
  }

  async next(): Promise<FrameMessage> {
    for (;;) {
      const message = this.messages.shift();
      if (message) return message;
      if (this.failure) throw this.failure.error;
      await new Promise<void>((resolve) => (this.wake = resolve));
    }
  }

  /** For a program that was stopped or broke down: its end will not come by itself. */
  fail(error: unknown): void {
    this.failure ??= { error };
    this.wake();
  }

  /** Resolves to true once the run has ended properly, to false if it fails or takes longer than that. */
  async ends(withinMs: number): Promise<boolean> {
    const late = setTimeout(() => this.fail(new Error('the decoder did not end in time')), withinMs);
    while (!this.ended && !this.failure) await new Promise<void>((resolve) => (this.wake = resolve));
    clearTimeout(late);
    return this.ended;
  }
}
