import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { WithersField } from './WithersField.tsx';
import { useSession } from './context.ts';
import type { Engine } from './engine.ts';
import { CAUTIONS, FILMING } from './words.ts';

/** The way in: a clip is dropped, chosen, or the sample taken. */
export function Intake() {
  const session = useSession();
  return (
    <div class="intake">
      <div class="intake-way-in">
        {session.failure.value !== null && (
          <p class="failure" role="alert">
            {session.failure.value}
          </p>
        )}
        <DropZone />
        <WithersField />
      </div>
      <section class="advice" aria-labelledby="filming">
        <h2 id="filming">How to film</h2>
        <ul>
          {FILMING.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
        <h2>Take care</h2>
        <ul>
          {CAUTIONS.handling.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
        <p>
          {CAUTIONS.notAnExamination} {CAUTIONS.vet}
        </p>
      </section>
    </div>
  );
}

function DropZone() {
  const session = useSession();
  const over = useSignal(false);
  const input = useRef<HTMLInputElement>(null);
  return (
    <div
      class="drop-zone"
      data-over={over.value}
      onDragOver={(event) => {
        event.preventDefault();
        over.value = true;
      }}
      onDragLeave={() => (over.value = false)}
      onDrop={() => (over.value = false)}
    >
      <p class="drop-words">Drop a clip of the led horse here</p>
      <p>
        <button type="button" class="main-button" onClick={() => input.current?.click()}>
          Choose a clip
        </button>
        <input
          ref={input}
          type="file"
          class="unseen"
          tabIndex={-1}
          aria-hidden="true"
          accept="video/*,.avi,.mkv,.mts,.m2ts"
          onChange={(event) => {
            const files = [...(event.currentTarget.files ?? [])];
            event.currentTarget.value = '';
            session.take(files);
          }}
        />
        <SampleButton />
      </p>
      <p class="hint">The clip stays on this machine; nothing is sent anywhere.</p>
    </div>
  );
}

function SampleButton() {
  const session = useSession();
  const sample = useSignal<Engine['sample']>(null);
  const failed = useSignal(false);
  useEffect(() => {
    void session.engine
      .then(async (engine) => (await isThere(engine.sample)) && (sample.value = engine.sample))
      .catch(() => undefined);
  }, [session, sample]);
  if (!sample.value) return null;
  const { url, fileName } = sample.value;
  const take = async () => {
    try {
      const answer = await fetch(url);
      if (!answer.ok) throw new Error(String(answer.status));
      const blob = await answer.blob();
      void session.read(new File([blob], fileName, { type: blob.type }), { sample: true });
    } catch {
      failed.value = true;
    }
  };
  return (
    <button type="button" disabled={failed.value} onClick={() => void take()}>
      {failed.value ? 'The sample clip is not here' : 'Try the sample clip'}
    </button>
  );
}

/** A server may answer with its start page where it has no such file. */
async function isThere(sample: Engine['sample']): Promise<boolean> {
  if (!sample) return false;
  if (sample.url.startsWith('blob:')) return true;
  const answer = await fetch(sample.url, { method: 'HEAD' });
  return answer.ok && (answer.headers.get('content-type') ?? '').startsWith('video/');
}
