import { RecordError } from '../horse/errors.ts';

/** Why a backup isn't restored, and what to tell the user. */
export const REFUSALS = {
  empty: 'This file is empty.',
  foreign: 'This file is no backup of this page.',
  newer: 'This backup was made by a newer version of this page. Reload the page to get that version.',
  damaged: 'This backup is damaged or not whole: parts of it were changed or are missing.',
  invalid: 'Something in this backup can’t be: it was not written by this page as it is.',
  tooLarge: 'This backup is larger than this page can read at once.',
} as const;

export type Refusal = keyof typeof REFUSALS;

/** Thrown where a backup isn't restored; nothing has changed then. `where` is the place in it, for a report. */
export class BackupRefused extends RecordError {
  readonly code: Refusal;
  readonly where: string;

  constructor(code: Refusal, where = '', cause?: unknown) {
    super(REFUSALS[code], { cause });
    this.name = 'BackupRefused';
    this.code = code;
    this.where = where;
  }
}
