/** What becomes of calls to a worker that can't answer any more. */

/** What is used of a Worker. */
export type Breakable = Pick<Worker, 'addEventListener'>;

/** A worker's script that doesn't load sends a bare event; an error thrown in it sends one with a message. */
const messageOf = (event: Event): string =>
  'message' in event && typeof event.message === 'string' ? event.message : '';

/**
 * Rejects once the worker can't be relied on: its script doesn't load, it throws outside of a call, or an answer can't
 * be read. Calls to such a worker never come back, so that whoever calls it must race them with this.
 * @param does What the worker does, in plain words that finish "The part of this page that ...".
 */
export function breakdownOf(worker: Breakable, does: string): Promise<never> {
  const part = `The part of this page that ${does}`;
  const broken = new Promise<never>((_resolve, reject) => {
    worker.addEventListener('error', (event) => {
      const message = messageOf(event);
      reject(
        new Error(
          message
            ? `${part} broke down: ${message}`
            : `${part} could not be loaded. Check the connection, then reload the page.`,
        ),
      );
    });
    worker.addEventListener('messageerror', () =>
      reject(new Error(`${part} gave an answer that could not be read.`)),
    );
  });
  // Where nobody waits for it, it is no unhandled rejection.
  broken.catch(() => undefined);
  return broken;
}
