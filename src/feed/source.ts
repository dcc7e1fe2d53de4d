import { visible } from '../plan/index.ts';
import type { FedReading } from './reading-line.ts';

/** What a source of readings tells. */
export interface Sink {
  reading(reading: FedReading): void;
  /** Something came that is no reading. */
  refused(): void;
  /** It can be read from, or cannot, and why. */
  stands(state: 'on' | 'off', detail: string): void;
}

/** An open source; `close` ends it. */
export interface Source {
  close(): void;
}

const CAUSES: Readonly<Record<string, string>> = {
  ENOENT: 'there is nothing of that name',
  EACCES: 'this user may not use it',
  EPERM: 'this user may not use it',
  EADDRINUSE: 'another program has that port',
  ECONNREFUSED: 'nothing answers there',
  ECONNRESET: 'the other end broke off',
  EPIPE: 'the other end broke off',
  ENOTFOUND: 'no machine of that name is known',
  EAI_AGAIN: 'the name cannot be looked up at present',
  ETIMEDOUT: 'it does not answer',
  EHOSTUNREACH: 'no way leads there',
  ENETUNREACH: 'there is no network',
};

/** Longer words than this are no help on a board. */
const LONGEST = 200;

/** Why something cannot be read from, for people. */
export function causeOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  const known = CAUSES[code];
  if (known !== undefined) return known;
  return shown((error instanceof Error && error.message) || code || 'it cannot be used');
}

/** Words from outside, fit to be shown and kept. */
export const shown = (text: string): string => visible(text).slice(0, LONGEST);
