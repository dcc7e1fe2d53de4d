import { promiseLine, type Promised } from '../planner/index.ts';

/** Whether a timetable holds whatever happens, as the sentence that a sheet has of it. */
export function promiseSentence(promise: Promised): string {
  const line = promiseLine(promise);
  return `${line.slice(0, 1).toUpperCase()}${line.slice(1)}.`;
}

/** `holds`: every window and service is kept whatever nature does, if each call is answered within `answerSeconds`. */
export interface PromiseJson {
  readonly holds: boolean;
  readonly answerSeconds: number;
  /** The same in one sentence. */
  readonly words: string;
  /** What leads to a breach; empty where it holds. */
  readonly because: readonly string[];
  /** What would make it hold, in words; null where nothing was found, or is needed. */
  readonly remedy: string | null;
}

/** The promise as plain data with a stable form. */
export function promiseJson(promise: Promised): PromiseJson {
  const holds = promise.kind === 'holds';
  return {
    holds,
    answerSeconds: promise.answer,
    words: promiseLine(promise),
    because: holds ? [] : promise.because,
    remedy: holds ? null : (promise.remedy?.message ?? null),
  };
}
