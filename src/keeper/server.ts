import { randomUUID } from 'node:crypto';
import { chmodSync, rmSync } from 'node:fs';
import { createServer, type Server, type Socket } from 'node:net';
import { platform } from 'node:os';
import type { Core } from './core.ts';
import { lineReader } from './lines.ts';
import {
  lineOf,
  LONGEST_FROM_BOARD,
  LONGEST_FROM_KEEPER,
  PROTOCOL,
  readFromBoard,
  type FromBoard,
  type FromKeeper,
} from './protocol.ts';

/** The boards of one run. */
export interface BoardServer {
  readonly path: string;
  /** How many there are. */
  readonly boards: number;
  /** Tells every board the time, and lets go of those that have stopped reading. */
  beat(): void;
  /** Breaks every connection without a word and stops listening: for an end that is not in order. */
  cut(): void;
  /** Sends what is left, then lets every board go and stops listening. */
  close(): Promise<void>;
}

export interface ServerLimits {
  /** A board that has taken nothing for so long (ms) is dropped; it can attach again. */
  readonly patience: number;
  readonly boards: number;
}

const LIMITS: ServerLimits = { patience: 10_000, boards: 32 };

/** Events are written to a board while no more than this waits for it, in bytes; the rest stays in the journal's list. */
const AHEAD = 256 * 1024;
/** So many lines of a board are taken before the clock and the other boards have their turn. */
const LINES_A_TURN = 16;
/** Answers come on top of that; a board that presses and never reads is dropped here. */
const MOST_WAITING = LONGEST_FROM_KEEPER + 4 * AHEAD;

/**
 * Listens on `path` for boards. An old socket file there is removed first: call this only while owning the run.
 * No board can hold the keeper up: nothing here waits for one, and what a slow board has yet to get is not
 * queued but read from the journal's list when it takes more.
 */
export async function serveBoards(
  core: Core,
  path: string,
  limits: ServerLimits = LIMITS,
): Promise<BoardServer> {
  const boards = new Set<Board>();
  const server = createServer((socket) => {
    const board = new Board(socket, core, limits);
    boards.add(board);
    socket.once('close', () => boards.delete(board));
  });
  server.maxConnections = limits.boards;
  await listen(server, path);
  const unwatch = core.watch((change) => {
    for (const board of boards) {
      if (change.kind === 'event') board.pump();
      else if (change.kind === 'trouble') board.send({ say: 'trouble', detail: change.detail });
      else if (change.kind === 'trouble over') board.send({ say: 'trouble' });
      else board.end(change.reason, change.detail);
    }
  });
  return {
    path,
    get boards() {
      return boards.size;
    },
    beat: () => {
      for (const board of boards) board.beat();
    },
    cut() {
      unwatch();
      server.close();
      for (const board of boards) board.drop();
    },
    async close() {
      unwatch();
      const closed = new Promise((resolve) => server.close(resolve));
      for (const board of boards) board.end('stopped');
      await closed;
    },
  };
}

async function listen(server: Server, path: string): Promise<void> {
  if (platform() !== 'win32') rmSync(path, { force: true });
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(path, () => {
      server.off('error', reject);
      resolve();
    });
  });
  if (platform() !== 'win32') chmodSync(path, 0o600);
}

/** One connection. */
class Board {
  readonly #socket: Socket;
  readonly #core: Core;
  readonly #limits: ServerLimits;
  /** The seq of the last event written to it; undefined until it has attached. */
  #sent: number | undefined;
  /** Since when it has taken nothing although something waits, by the process's steady timer. */
  #stuckSince: number | undefined;
  #ending = false;
  /** What has come and is not taken yet; no more than one piece of the stream brought. */
  #lines: string[] = [];

  constructor(socket: Socket, core: Core, limits: ServerLimits) {
    this.#socket = socket;
    this.#core = core;
    this.#limits = limits;
    this.#stuckSince = performance.now();
    const read = lineReader(LONGEST_FROM_BOARD);
    socket.on('data', (chunk) => {
      const got = read(chunk);
      if (!got.ok) return this.drop();
      this.#lines.push(...got.lines);
      return this.#takeSome();
    });
    socket.on('drain', () => {
      this.#stuckSince = undefined;
      this.pump();
    });
    // The other end is gone; `close` follows and the board is forgotten.
    socket.on('error', () => undefined);
  }

  /** Writes what it has not been sent yet, as far as it takes it. */
  pump(): void {
    const { events } = this.#core.journal;
    while (this.#sent !== undefined && this.#sent < events.length && this.#socket.writableLength < AHEAD) {
      const event = events[this.#sent];
      if (event === undefined || this.#ending) return;
      this.#sent += 1;
      this.send({ say: 'event', seq: this.#sent, event, clock: this.#core.now() });
    }
  }

  send(message: FromKeeper): void {
    if (this.#socket.destroyed || this.#ending || this.#sent === undefined) return;
    if (!this.#socket.write(lineOf(message))) this.#stuckSince ??= performance.now();
    if (this.#socket.writableLength > MOST_WAITING) this.drop();
  }

  beat(): void {
    if (this.#stuckSince !== undefined && performance.now() - this.#stuckSince > this.#limits.patience)
      this.drop();
    else if (this.#socket.writableLength < AHEAD) this.send({ say: 'beat', clock: this.#core.now() });
  }

  /** Says why, and lets it go: after what is written has been taken, or at once if it takes nothing. */
  end(reason: 'served' | 'stopped' | 'failed', detail?: string): void {
    if (this.#ending) return;
    this.pump();
    this.send({ say: 'end', reason, ...(detail === undefined ? {} : { detail }) });
    this.#ending = true;
    this.#socket.end();
    setTimeout(() => this.drop(), 1000).unref();
  }

  /** Takes a few lines; while more wait, nothing further is read, and everybody else comes first. */
  #takeSome(): void {
    for (const line of this.#lines.splice(0, LINES_A_TURN)) this.#take(readFromBoard(line));
    if (this.#lines.length === 0) this.#socket.resume();
    else {
      this.#socket.pause();
      setImmediate(() => this.#takeSome());
    }
  }

  #take(message: FromBoard | undefined): void {
    if (this.#ending) return undefined;
    if (message === undefined) return this.drop();
    if (message.say === 'attach') return this.#attach(message);
    if (this.#sent === undefined) return this.drop();
    if (message.say === 'stop') return this.#core.take({ kind: 'stop', reason: 'stopped' });
    if (message.say === 'fed') {
      const { happening } = message;
      return this.#core.take({ kind: 'act', id: `fed-${randomUUID()}`, source: 'probe', happening });
    }
    const { id, happening } = message;
    return this.#core.take({ kind: 'act', id, source: 'cook', happening }, (taken) =>
      this.send(taken.ok ? { say: 'taken', id, seq: taken.seq } : { say: 'refused', id, why: taken.why }),
    );
  }

  #attach({ protocol, after }: FromBoard & { say: 'attach' }): void {
    const { journal, trouble } = this.#core;
    this.#stuckSince = undefined;
    this.#sent = after;
    if (protocol !== PROTOCOL)
      return this.end('failed', `this keeper speaks version ${PROTOCOL}, not ${protocol}`);
    if (after > journal.events.length)
      return this.end('failed', 'the journal is older than what the board has seen');
    this.send({ say: 'setup', protocol: PROTOCOL, setup: journal.setup, seq: journal.events.length });
    this.pump();
    this.send({ say: 'beat', clock: this.#core.now() });
    return trouble === undefined ? undefined : this.send({ say: 'trouble', detail: trouble });
  }

  drop(): void {
    this.#ending = true;
    this.#socket.destroy();
  }
}
