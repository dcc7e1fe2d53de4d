/** What a command ends with. */
export const EXIT = {
  /** Done. */
  done: 0,
  /** The plan or the run has a problem, and it was said what. */
  problem: 1,
  /** The command was used wrongly. */
  usage: 2,
  /** Stopped by Ctrl-C; what there was has been said. */
  stopped: 130,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

/** Ends a command with words for people: the first line says what is wrong, the detail what to do. */
export class Stop extends Error {
  readonly code: ExitCode;
  readonly detail: readonly string[];

  constructor(code: ExitCode, message: string, detail: readonly string[] = []) {
    super(message);
    this.code = code;
    this.detail = detail;
  }
}
