export type StorageErrorCode =
  'storageFull' | 'storageUnavailable' | 'storageNewer' | 'storageBlocked' | 'runOver' | 'storageFailed';

const TEXTS: Readonly<Record<StorageErrorCode, string>> = {
  storageFull:
    'The browser’s storage is full: this could not be saved. What was saved before is still there. Free space on the device; or save the measures and then clear this page’s data in the browser, which takes all corrections kept here with it.',
  storageUnavailable:
    'This browser does not let the page store anything here (a private window, or storage switched off): corrections last only until the page is closed.',
  storageNewer:
    'The stored data were written by a newer version of this page. Reload the page to get that version.',
  storageBlocked:
    'Another tab with an older version of this page holds the stored data: close it, then reload this one.',
  runOver: 'This clip was read to its end in another tab: what was seen there is kept.',
  storageFailed: 'The browser could not read or write its storage.',
};

/** What was saved of a run before it failed. */
export interface KeptOfRun {
  readonly frames: number;
  /** Time of the last frame saved, s; null where none was. */
  readonly untilS: number | null;
}

/** Errors of the record that say themselves what is wrong. */
export class RecordError extends Error {}

/** Thrown when the browser's storage can't do what was asked; the browser's own error is the cause. */
export class StorageError extends RecordError {
  readonly code: StorageErrorCode;
  /** Of a run whose frames could not be saved any longer. */
  readonly kept: KeptOfRun | null;

  constructor(code: StorageErrorCode, cause?: unknown, kept: KeptOfRun | null = null) {
    super(TEXTS[code], { cause });
    this.name = 'StorageError';
    this.code = code;
    this.kept = kept;
  }
}

const CODES: Readonly<Record<string, StorageErrorCode>> = {
  QuotaExceededError: 'storageFull',
  VersionError: 'storageNewer',
  SecurityError: 'storageUnavailable',
  InvalidStateError: 'storageUnavailable',
};

/** The error as one of the record's own; those pass as they are. */
export function storageError(error: unknown): RecordError {
  if (error instanceof RecordError) return error;
  const name = error instanceof Error || error instanceof DOMException ? error.name : '';
  return new StorageError(CODES[name] ?? 'storageFailed', error);
}
