import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { WithersField } from './WithersField.tsx';
import { useSession } from './context.ts';
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
        <DropZone onFile={(file) => void session.read(file)} />
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

function DropZone({ onFile }: { onFile: (file: File) => void }) {
  const over = useSignal(false);
  const input = useRef<HTMLInputElement>(null);
  const onDrop = (event: DragEvent) => {
    event.preventDefault();
    over.value = false;
    const file = event.dataTransfer?.files[0];
    if (file) onFile(file);
  };
  return (
    <div
      class="drop-zone"
      data-over={over.value}
      onDragOver={(event) => {
        event.preventDefault();
        over.value = true;
      }}
      onDragLeave={() => (over.value = false)}
      onDrop={onDrop}
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
          aria-label="Clip"
          accept="video/*,.avi,.mkv,.mts,.m2ts"
          onChange={(event) => {
            const file = event.currentTarget.files?.[0];
            event.currentTarget.value = '';
            if (file) onFile(file);
          }}
        />
        <SampleButton onFile={onFile} />
      </p>
      <p class="hint">The clip stays on this machine; nothing is sent anywhere.</p>
    </div>
  );
}

function SampleButton({ onFile }: { onFile: (file: File) => void }) {
  const session = useSession();
  const sample = useSignal<{ url: string; fileName: string } | null>(null);
  const failed = useSignal(false);
  useEffect(() => {
    session.engine.then(
      (engine) => (sample.value = engine.sample),
      () => undefined,
    );
  }, [session, sample]);
  if (!sample.value) return null;
  const { url, fileName } = sample.value;
  const take = async () => {
    try {
      const answer = await fetch(url);
      if (!answer.ok) throw new Error(String(answer.status));
      const blob = await answer.blob();
      onFile(new File([blob], fileName, { type: blob.type }));
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
