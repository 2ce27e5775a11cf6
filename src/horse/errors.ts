export type StorageErrorCode = 'storageFull' | 'storageUnavailable' | 'storageNewer' | 'storageFailed';

const TEXTS: Readonly<Record<StorageErrorCode, string>> = {
  storageFull:
    'The browser’s storage is full: this could not be saved. What was saved before is still there. Free space on the device; or save the measures and then clear this page’s data in the browser, which takes all corrections kept here with it.',
  storageUnavailable:
    'This browser does not let the page store anything here (a private window, or storage switched off): corrections last only until the page is closed.',
  storageNewer:
    'The stored data were written by a newer version of this page. Reload the page to get that version.',
  storageFailed: 'The browser could not read or write its storage.',
};

/** Thrown when the browser's storage can't do what was asked; the browser's own error is the cause. */
export class StorageError extends Error {
  readonly code: StorageErrorCode;

  constructor(code: StorageErrorCode, cause?: unknown) {
    super(TEXTS[code], { cause });
    this.name = 'StorageError';
    this.code = code;
  }
}

const CODES: Readonly<Record<string, StorageErrorCode>> = {
  QuotaExceededError: 'storageFull',
  VersionError: 'storageNewer',
  SecurityError: 'storageUnavailable',
  InvalidStateError: 'storageUnavailable',
};

export function storageError(error: unknown): StorageError {
  if (error instanceof StorageError) return error;
  const name = error instanceof Error || error instanceof DOMException ? error.name : '';
  return new StorageError(CODES[name] ?? 'storageFailed', error);
}
