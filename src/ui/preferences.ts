import type { Units } from './format.ts';

/** What the page remembers of the user's choices between visits. */
export interface Preferences {
  readonly units: Units;
  readonly withersM: number | null;
}

const KEY = 'ledwalk.preferences.1';
const DEFAULTS: Preferences = { units: 'metric', withersM: null };

/** Storage may be switched off by the browser; the page then starts from the defaults. */
export function loadPreferences(): Preferences {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEY) ?? 'null');
    if (typeof kept !== 'object' || kept === null) return DEFAULTS;
    const { units, withersM } = kept as Partial<Record<keyof Preferences, unknown>>;
    return {
      units: units === 'imperial' ? 'imperial' : 'metric',
      withersM: typeof withersM === 'number' && withersM > 0 ? withersM : null,
    };
  } catch {
    return DEFAULTS;
  }
}

export function savePreferences(preferences: Preferences): void {
  try {
    localStorage.setItem(KEY, JSON.stringify(preferences));
  } catch {
    // Not remembered; nothing else depends on it.
  }
}
