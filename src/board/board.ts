import { createElement } from 'react';
import { render } from 'ink';
import { BELL, bellRinger } from '../herald/index.ts';
import type { RunLink } from '../keeper/index.ts';
import { Board, type Frames } from './app.ts';
import { wordsOf, type Line } from './lines.ts';
import { runPlain, type PlainIo } from './plain.ts';
import { openSupposing, ownReplanner } from './supposing.ts';
import { openSession, soundingNow, type BoardEnd, type Session } from './session.ts';

/** The terminal a board is drawn on. */
export interface BoardIo extends PlainIo {
  readonly stdin: NodeJS.ReadStream;
  readonly stdout: NodeJS.WriteStream;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** A steady clock in ms; the machine's own by default. */
  readonly steady?: () => number;
}

/** Whether a board can be drawn here: both ends are a terminal, and one that can move its cursor. */
export const canDraw = ({ stdin, stdout, env }: Pick<BoardIo, 'stdin' | 'stdout' | 'env'>): boolean =>
  stdin.isTTY === true && stdout.isTTY === true && env['TERM'] !== 'dumb';

/**
 * Shows the run on the terminal and takes the cook's keys until the cook leaves or the keeper ends. Where there is no
 * terminal to draw on it follows the run in plain lines. Never ends the run unless the cook says so twice.
 */
export async function runBoard(link: RunLink, io: BoardIo): Promise<BoardEnd> {
  if (!canDraw(io)) return runPlain(link, io);
  const { stdout, stdin } = io;
  const steady = io.steady ?? ((): number => performance.now());
  const stage = stageFor(stdout, () => session.screen());
  const { promise: ended, resolve: end } = Promise.withResolvers<BoardEnd>();
  const ringer = bellRinger(
    () => stdout.write(BELL),
    (afterMs, act) => {
      const timer = setTimeout(act, afterMs);
      return () => clearTimeout(timer);
    },
  );
  const supposing = openSupposing(() => (io.replanner ?? ownReplanner)(link.state.setup.workload));
  const session: Session = openSession(link, {
    steady,
    size: stage.size,
    changed: stage.changed,
    redraw: () => redraw(),
    sound: (effects) => ringer.take(effects),
    ended: end,
    supposing,
    ...(io.look ? { look: io.look } : {}),
    ...(io.rehearsing ? { rehearsing: io.rehearsing } : {}),
  });
  const frames: Frames = {
    subscribe: stage.subscribe,
    frame: stage.frame,
    width: () => stage.size().width,
    key: (key) => session.key(key),
    colourless: (io.env['NO_COLOR'] ?? '') !== '',
  };
  const instance = render(createElement(Board, { frames }), {
    stdin,
    stdout,
    alternateScreen: true,
    incrementalRendering: true,
    interactive: true,
    exitOnCtrlC: false,
    patchConsole: false,
    maxFps: 60,
  });
  // Whatever stands on the terminal is wiped and every row is drawn again from the top.
  const redraw = (): void => {
    instance.clear();
    stdout.write('\u001B[2J\u001B[H');
    stage.renew();
  };
  const resized = (): void => void setImmediate(redraw);
  stdout.on('resize', resized);
  // The terminal is gone (its window was closed): there is nobody to draw for, and the run goes on.
  const gone = (): void => end({ kind: 'left' });
  stdout.on('error', gone);
  const stopTicking = tickEachSecond(link, session);
  ringer.take(soundingNow(link.state, link.clock()));
  try {
    return await Promise.race([ended, instance.waitUntilExit().then((): BoardEnd => ({ kind: 'left' }))]);
  } finally {
    stopTicking();
    ringer.stop();
    supposing.close();
    stdout.off('resize', resized);
    session.close();
    instance.unmount();
    await instance.waitUntilExit();
    stdout.off('error', gone);
  }
}

const LEAST_TICK_MS = 100;

/** Ticks when the keeper's clock comes to a whole second, so that figures change together and on time. */
function tickEachSecond(link: RunLink, session: Session): () => void {
  let timer: NodeJS.Timeout;
  const next = (): void => {
    timer = setTimeout(
      () => {
        session.tick();
        next();
      },
      // A rehearsal that stands still shows the same second again and again.
      Math.max(LEAST_TICK_MS, 1000 - (link.clock() % 1000) + 5),
    );
  };
  next();
  return () => clearTimeout(timer);
}

/** Holds the frame that is drawn and tells React only when a row has changed. */
function stageFor(
  stdout: NodeJS.WriteStream,
  paint: () => Line[],
): {
  readonly size: () => { readonly width: number; readonly height: number };
  readonly changed: () => void;
  readonly renew: () => void;
  readonly subscribe: (listener: () => void) => () => void;
  readonly frame: () => readonly Line[];
} {
  const listeners = new Set<() => void>();
  let rows: readonly Line[] | undefined;
  // One row less than the terminal has: a full one would make it scroll.
  const size = (): { width: number; height: number } => ({
    width: stdout.columns || 80,
    height: Math.max(1, (stdout.rows || 24) - 1),
  });
  const tell = (): void => listeners.forEach((listener) => listener());
  const changed = (): void => {
    const before = rows ?? [];
    const painted = paint();
    const kept = painted.map((row, index) => (sameRow(before[index], row) ? (before[index] ?? row) : row));
    if (kept.length === before.length && kept.every((row, index) => row === before[index])) return;
    rows = kept;
    tell();
  };
  return {
    size,
    changed,
    renew() {
      rows = paint();
      tell();
    },
    subscribe(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    frame: () => (rows ??= paint()),
  };
}

const sameRow = (a: Line | undefined, b: Line): boolean =>
  a !== undefined &&
  a.length === b.length &&
  wordsOf(a) === wordsOf(b) &&
  JSON.stringify(a) === JSON.stringify(b);
