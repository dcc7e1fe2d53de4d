import { spawn } from '@lydell/node-pty';
import xterm from '@xterm/headless';

/** A program in a real pseudo-terminal, and what a person would see of it. */
export interface Terminal {
  /** The rows of the screen, trailing spaces cut. */
  screen(): string[];
  /** The whole screen as one text. */
  text(): string;
  /** Whether the cell of the row's first such text is drawn so. */
  style(
    text: string,
  ): { readonly bold: boolean; readonly inverse: boolean; readonly colour: number } | undefined;
  /** Resolves once the screen is as wanted; rejects with the screen as it is after `limit` ms. */
  until(wanted: (text: string) => boolean, what: string, limit?: number): Promise<void>;
  /** What a hand types. */
  type(keys: string): void;
  resize(columns: number, rows: number): void;
  kill(signal: string): void;
  /** Everything the program has written so far. */
  written(): string;
  readonly isAlternate: () => boolean;
  readonly pid: number;
  readonly ended: Promise<{ readonly exitCode: number; readonly signal: number | undefined }>;
}

export interface TerminalOptions {
  readonly columns?: number;
  readonly rows?: number;
  readonly env?: Readonly<Record<string, string>>;
  readonly cwd?: string;
}

/** Starts a program in a pseudo-terminal. CI and colour settings of this process are not handed on. */
export function openTerminal(file: string, args: readonly string[], options: TerminalOptions = {}): Terminal {
  const { columns = 80, rows = 24 } = options;
  const inherited = Object.fromEntries(
    Object.entries(process.env).filter(
      (pair): pair is [string, string] =>
        pair[1] !== undefined && !/^(CI|NO_COLOR|FORCE_COLOR|TERM)$/.test(pair[0]),
    ),
  );
  const child = spawn(file, [...args], {
    // The name overrides TERM.
    name: options.env?.['TERM'] ?? 'xterm-256color',
    cols: columns,
    rows,
    env: { ...inherited, ...options.env },
    ...(options.cwd === undefined ? {} : { cwd: options.cwd }),
  });
  const grid = new xterm.Terminal({ cols: columns, rows, allowProposedApi: true, scrollback: 500 });
  let written = '';
  let pending = Promise.resolve();
  child.onData((chunk) => {
    written += chunk;
    pending = pending.then(() => new Promise<void>((done) => grid.write(chunk, done)));
  });
  const ended = new Promise<{ exitCode: number; signal: number | undefined }>((resolve) => {
    child.onExit(({ exitCode, signal }) => void pending.then(() => resolve({ exitCode, signal })));
  });
  const screen = (): string[] => gridRows(grid);
  const text = (): string => screen().join('\n');
  return {
    screen,
    text,
    style: (wanted) => styleOf(grid, screen(), wanted),
    until: (wanted, what, limit = 10_000) =>
      poll(
        () => wanted(text()),
        limit,
        () => `waited for ${what}; the screen is\n${text()}`,
      ),
    type: (keys) => child.write(keys),
    resize(toColumns, toRows) {
      child.resize(toColumns, toRows);
      grid.resize(toColumns, toRows);
    },
    kill: (signal) => child.kill(signal),
    written: () => written,
    isAlternate: () => grid.buffer.active.type === 'alternate',
    pid: child.pid,
    ended,
  };
}

/** The rows a grid shows. */
export function gridRows(grid: xterm.Terminal): string[] {
  const { active } = grid.buffer;
  return Array.from(
    { length: grid.rows },
    (_, row) => active.getLine(active.viewportY + row)?.translateToString(true) ?? '',
  );
}

function styleOf(
  grid: xterm.Terminal,
  rows: readonly string[],
  wanted: string,
): ReturnType<Terminal['style']> {
  const row = rows.findIndex((each) => each.includes(wanted));
  if (row < 0) return undefined;
  const column = rows[row]?.indexOf(wanted) ?? 0;
  const cell = grid.buffer.active.getLine(grid.buffer.active.viewportY + row)?.getCell(column);
  return (
    cell && {
      bold: cell.isBold() !== 0,
      inverse: cell.isInverse() !== 0,
      colour: cell.isFgDefault() ? -1 : cell.getFgColor(),
    }
  );
}

async function poll(isThere: () => boolean, limit: number, complaint: () => string): Promise<void> {
  const deadline = performance.now() + limit;
  while (!isThere()) {
    if (performance.now() > deadline) throw new Error(complaint());
    await new Promise((resolve) => setTimeout(resolve, 15));
  }
}
