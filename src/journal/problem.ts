/** Something about a store or a journal that a person must know: what is wrong, and what would be right. */
export interface Problem {
  readonly code: ProblemCode;
  /** One sentence without a full stop: what is wrong and where. */
  readonly what: string;
  /** What to do about it. */
  readonly hint: string;
}

export type ProblemCode =
  | 'store not ours'
  | 'store not usable'
  | 'bad run name'
  | 'run exists'
  | 'disk full'
  | 'read-only'
  | 'cannot write'
  | 'not writable as an event';

/** The value, or what is wrong. The journal's functions never throw for what a person, a disk or another program did. */
export type Result<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly problem: Problem };

export const done = <T>(value: T): Result<T> => ({ ok: true, value });

export const failed = (code: ProblemCode, what: string, hint: string): Result<never> => ({
  ok: false,
  problem: { code, what, hint },
});

/** SQLite's primary result codes, https://www.sqlite.org/rescode.html */
export const SQLITE = {
  busy: 5,
  readonly: 8,
  corrupt: 11,
  full: 13,
  cantOpen: 14,
  constraint: 19,
  notADatabase: 26,
} as const;

/** The primary SQLite result code of what was thrown; undefined for any other error. Extended codes carry it in their low byte. */
export function sqliteCode(error: unknown): number | undefined {
  if (!(error instanceof Error) || !('errcode' in error) || typeof error.errcode !== 'number')
    return undefined;
  return error.errcode & 0xff;
}

/** The system's code of what was thrown (`ENOENT`), or an empty text. */
export const systemCode = (error: unknown): string =>
  error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';

export const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** The system's words for what SQLite has a code for. */
const SYSTEM: Readonly<Record<string, number>> = {
  ENOSPC: SQLITE.full,
  EDQUOT: SQLITE.full,
  EROFS: SQLITE.readonly,
  EACCES: SQLITE.readonly,
  EPERM: SQLITE.readonly,
};

/** What a failed write means to people. */
export function writeProblem(error: unknown, path: string): Problem {
  switch (sqliteCode(error) ?? SYSTEM[systemCode(error)]) {
    case SQLITE.full:
      return {
        code: 'disk full',
        what: `the disk is full: nothing more can be written to ${path}`,
        hint: 'free some space; the run goes on as soon as there is room',
      };
    case SQLITE.readonly:
    case SQLITE.cantOpen:
      return {
        code: 'read-only',
        what: `${path} cannot be written to`,
        hint: 'make the file and its folder writable for you, or copy the store to a place that is',
      };
    case undefined:
    default:
      return {
        code: 'cannot write',
        what: `writing to ${path} failed: ${messageOf(error)}`,
        hint: 'see whether the disk is still there and sound',
      };
  }
}
