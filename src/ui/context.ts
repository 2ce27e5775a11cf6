import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import type { Session } from './session.ts';

export const SessionContext = createContext<Session | null>(null);

export function useSession(): Session {
  const session = useContext(SessionContext);
  if (!session) throw new Error('No session around this view');
  return session;
}
