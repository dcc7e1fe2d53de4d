import { PassThrough, Writable } from 'node:stream';
import xterm from '@xterm/headless';
import { runBoard, type BoardEnd, type BoardIo } from '../../src/board/index.ts';
import type { RunLink } from '../../src/keeper/index.ts';
import { gridRows } from './terminal.ts';

/** A board drawn by Ink on a terminal of this process's own: what a person would see, without a pseudo-terminal. */
export interface Drawn {
  readonly rows: () => string[];
  readonly type: (keys: string) => void;
  readonly until: (wanted: (text: string) => boolean) => Promise<void>;
  readonly settled: () => Promise<string[]>;
  readonly resize: (columns: number, rows: number) => void;
  /** Bytes the board has written. */
  readonly written: () => number;
  readonly end: Promise<BoardEnd>;
  /** Ends the board as a cook would who leaves. */
  readonly leave: () => Promise<BoardEnd>;
}

export interface DrawOptions {
  readonly columns: number;
  readonly rows: number;
  readonly env?: Readonly<Record<string, string>>;
  readonly look?: NonNullable<BoardIo['look']>;
  readonly steady?: () => number;
  readonly rehearsing?: NonNullable<BoardIo['rehearsing']>;
  readonly replanner?: NonNullable<BoardIo['replanner']>;
}

export function drawBoard(link: RunLink, options: DrawOptions): Drawn {
  const grid = new xterm.Terminal({
    cols: options.columns,
    rows: options.rows,
    allowProposedApi: true,
    convertEol: true,
  });
  let written = 0;
  let pending = Promise.resolve();
  const stdout = new Writable({
    decodeStrings: false,
    write(chunk: string, _encoding, done) {
      written += Buffer.byteLength(chunk);
      pending = pending.then(() => new Promise<void>((drawn) => grid.write(chunk, drawn)));
      done();
    },
  });
  const screen = Object.assign(stdout, { isTTY: true, columns: options.columns, rows: options.rows });
  const keys = Object.assign(new PassThrough(), {
    isTTY: true,
    setRawMode: () => keys,
    ref: () => keys,
    unref: () => keys,
  });
  const io: BoardIo = {
    // Ink asks a terminal for no more than these.
    stdin: keys as unknown as NodeJS.ReadStream,
    stdout: screen as unknown as NodeJS.WriteStream,
    env: { TERM: 'xterm', ...options.env },
    ...(options.look ? { look: options.look } : {}),
    ...(options.steady ? { steady: options.steady } : {}),
    ...(options.rehearsing ? { rehearsing: options.rehearsing } : {}),
    ...(options.replanner ? { replanner: options.replanner } : {}),
  };
  const end = runBoard(link, io);
  const rows = (): string[] => gridRows(grid);
  const until = async (wanted: (text: string) => boolean): Promise<void> => {
    const deadline = performance.now() + 5000;
    while (!wanted(rows().join('\n'))) {
      if (performance.now() > deadline) throw new Error(`the screen stayed\n${rows().join('\n')}`);
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
  };
  return {
    rows,
    type: (text) => void keys.write(text),
    until,
    async settled() {
      await until((text) => text.trim() !== '');
      // Two turns of Ink's throttle without a byte: nothing more is coming.
      for (let before = -1; before !== written; await new Promise((resolve) => setTimeout(resolve, 40)))
        before = written;
      await pending;
      return rows();
    },
    resize(columns, height) {
      grid.resize(columns, height);
      Object.assign(screen, { columns, rows: height });
      screen.emit('resize');
    },
    written: () => written,
    end,
    async leave() {
      if (rows().join(' ').includes('Esc')) {
        keys.write('\u001B');
        await until((text) => !text.includes('Esc'));
      }
      keys.write('q');
      await until((text) => text.includes('Enter'));
      keys.write('\r');
      return end;
    },
  };
}
