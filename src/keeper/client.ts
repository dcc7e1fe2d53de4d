import { randomUUID } from 'node:crypto';
import { connect, type Socket } from 'node:net';
import type { BenchEvent, BenchState, Happening } from '../bench/index.ts';
import { isOwned, readOwner, runFolder } from '../journal/index.ts';
import { epochMs, later, type EpochMs } from '../units/index.ts';
import type { BenchEngine } from './engine.ts';
import type { Spawned } from './spawn.ts';
import { lineReader } from './lines.ts';
import type { EndReason, LinkChange, Pressed, RunLink } from './link.ts';
import { listeners } from './listeners.ts';
import {
  lineOf,
  LONGEST_FROM_BOARD,
  LONGEST_FROM_KEEPER,
  PROTOCOL,
  readFromBoard,
  readFromKeeper,
  type Fed,
  type FromBoard,
  type FromKeeper,
} from './protocol.ts';

export interface AttachOptions {
  readonly store: string;
  readonly run: string;
  readonly engine: BenchEngine;
  /** How long to try before giving up on the first attachment, in ms. Default 5 s. */
  readonly deadline?: number;
  /** Starts a new keeper; tried again and again while nobody keeps the run and it was not put down in order. */
  readonly revive?: () => Promise<Spawned>;
  /** A keeper that says nothing for so long (ms) is reported lost. Default 5 s; it says the time every second. */
  readonly patience?: number;
}

/** A link over a socket. */
export interface BoardLink extends RunLink {
  /** As every link's; an `id` of one's own (letters, digits, hyphens) makes the press known in the journal. */
  press(happening: Happening, id?: string): Promise<Pressed>;
  /** Hands on what came by a feed that only this process can read. While the keeper is away it is lost: the next one comes. */
  feed(happening: Fed): void;
}

export type Attached =
  | { readonly ok: true; readonly link: BoardLink }
  | { readonly ok: false; readonly why: string };

const FIRST_WAIT_MS = 50;
const LONGEST_WAIT_MS = 500;
const WATCH_MS = 1000;

/**
 * Attaches to the keeper of a run. Resolves with a link whose `state` is up to date, or with why not; never rejects.
 * From then on the link looks after itself: it attaches again when the connection breaks, asks only for the events it
 * has not seen, and sends every press that was not acknowledged again under its old id.
 */
export function attach(options: AttachOptions): Promise<Attached> {
  return new Promise((resolve) => {
    const link = new SocketLink(options, resolve);
    link.open();
  });
}

/** Why there was no answer: nobody is there, or somebody is and hangs or was stopped. */
function silenceOf({ store, run }: AttachOptions): string {
  const folder = runFolder(store, run);
  const pid = readOwner(folder)?.pid;
  return pid !== undefined && isOwned(folder)
    ? `the keeper of this run, process ${pid}, is there and does not answer`
    : 'no keeper answers for this run';
}

interface Waiting {
  readonly happening: Happening;
  readonly resolve: (pressed: Pressed) => void;
  /** Acknowledged with this seq, but that event has not come yet. */
  takenAt?: number;
}

class SocketLink implements BoardLink {
  readonly #options: AttachOptions;
  readonly #changes = listeners<LinkChange>();
  readonly #presses = new Map<string, Waiting>();
  #resolve: ((attached: Attached) => void) | undefined;
  #state: BenchState | undefined;
  #seq = 0;
  /** Up to date once `#seq` has come this far; undefined while not attached. */
  #target: number | undefined;
  #up = false;
  #over = false;
  #socket: Socket | undefined;
  #retry: NodeJS.Timeout | undefined;
  #wait = FIRST_WAIT_MS;
  #reviving = false;
  /** Why no new keeper could be had, as it was last told since there was one. */
  #whyNot: string | undefined;
  #clock = { keeper: 0, own: 0 };
  /** When the keeper was last heard, and whether its silence has been told, by this process's steady timer. */
  #heard = performance.now();
  #silent = false;
  #watchdog: NodeJS.Timeout | undefined;
  #shown: EpochMs = epochMs(0);
  #onEnd: (() => void)[] = [];

  constructor(options: AttachOptions, resolve: (attached: Attached) => void) {
    this.#options = options;
    const giveUp = setTimeout(() => this.#fail(silenceOf(options)), options.deadline ?? 5000);
    this.#resolve = (attached) => {
      clearTimeout(giveUp);
      this.#resolve = undefined;
      resolve(attached);
    };
  }

  get state(): BenchState {
    if (this.#state === undefined) throw new Error('the link is handed out only once it has a state');
    return this.#state;
  }

  clock(): EpochMs {
    this.#shown = later(
      this.#shown,
      epochMs(Math.floor(this.#clock.keeper + performance.now() - this.#clock.own)),
    );
    return this.#shown;
  }

  feed(happening: Fed): void {
    if (this.#up) this.#say({ say: 'fed', happening });
  }

  press(happening: Happening, id: string = randomUUID()): Promise<Pressed> {
    if (this.#over) return Promise.resolve({ ok: false, why: 'the keeper has ended' });
    const line = lineOf({ say: 'press', id, happening });
    if (Buffer.byteLength(line) > LONGEST_FROM_BOARD) {
      return Promise.resolve({ ok: false, why: 'that is too much for one press' });
    }
    // A keeper ends the connection over what it cannot read, and this one would send it again and again.
    if (readFromBoard(line) === undefined)
      return Promise.resolve({ ok: false, why: 'that is no press that a keeper understands' });
    return new Promise((resolve) => {
      this.#presses.set(id, { happening, resolve });
      if (this.#up) this.#socket?.write(line);
    });
  }

  subscribe(listener: (change: LinkChange) => void): () => void {
    return this.#changes.add(listener);
  }

  close(): Promise<void> {
    this.#finish('the board has let go of the run');
    return Promise.resolve();
  }

  stopRun(): Promise<void> {
    if (this.#over) return Promise.resolve();
    return new Promise((resolve) => {
      this.#onEnd.push(resolve);
      if (this.#up) this.#say({ say: 'stop', id: randomUUID() });
    });
  }

  open(): void {
    const path = readOwner(runFolder(this.#options.store, this.#options.run))?.socket;
    if (path === undefined) return this.#lost('nobody keeps this run');
    const socket = connect(path);
    this.#socket = socket;
    const read = lineReader(LONGEST_FROM_KEEPER);
    let detail = 'the keeper has gone';
    socket.on('connect', () => this.#say({ say: 'attach', protocol: PROTOCOL, after: this.#seq }));
    socket.on('data', (chunk) => {
      this.#listen();
      const got = read(chunk);
      const messages = got.ok ? got.lines.map(readFromKeeper) : [undefined];
      for (const message of messages) {
        if (this.#over) return;
        if (message !== undefined && (this.#state !== undefined || message.say !== 'event'))
          this.#hear(message);
        else socket.destroy(new Error('the keeper sent something that cannot be understood'));
      }
    });
    socket.on('error', (error) => (detail = error.message));
    socket.on('close', () => this.#lost(detail));
    return undefined;
  }

  /** Something came: a silence that was told is over. */
  #listen(): void {
    this.#heard = performance.now();
    if (!this.#silent) return;
    this.#silent = false;
    if (this.#up) this.#changes.tell({ kind: 'back' });
  }

  /** Tells of a keeper that hangs with its connection open. A pause of this process itself is not taken for that. */
  #watch(): void {
    let looked = performance.now();
    this.#watchdog = setInterval(() => {
      const now = performance.now();
      if (now - looked > 2 * WATCH_MS) this.#heard = now;
      looked = now;
      if (this.#silent || !this.#up || now - this.#heard < (this.#options.patience ?? 5000)) return;
      this.#silent = true;
      this.#changes.tell({ kind: 'lost', detail: 'the keeper does not answer' });
    }, WATCH_MS);
  }

  #say(message: FromBoard): void {
    this.#socket?.write(lineOf(message));
  }

  #hear(message: FromKeeper): void {
    switch (message.say) {
      case 'setup':
        this.#state ??= this.#options.engine.begin(message.setup);
        if (message.setup.run !== this.#options.run)
          return this.#ended('failed', 'the keeper keeps another run');
        this.#target = message.seq;
        return this.#caughtUp();
      case 'event':
        this.#setClock(message.clock);
        return this.#fold(message.seq, message.event);
      case 'beat':
        this.#setClock(message.clock);
        if (this.#up) this.#changes.tell({ kind: 'beat' });
        return undefined;
      case 'taken':
        return this.#taken(message.id, message.seq);
      case 'refused':
        return this.#answer(message.id, { ok: false, why: message.why });
      case 'trouble':
        if (message.detail === undefined) this.#changes.tell({ kind: 'trouble over' });
        else this.#changes.tell({ kind: 'trouble', detail: message.detail });
        return undefined;
      case 'end':
        return this.#ended(message.reason, message.detail);
    }
  }

  #fold(seq: number, event: BenchEvent): void {
    if (seq !== this.#seq + 1) return;
    const outcome = this.#options.engine.apply(this.state, event);
    this.#seq = seq;
    this.#state = outcome.state;
    if (this.#up || this.#resolve === undefined) {
      const effects = outcome.ok ? outcome.effects : [];
      this.#changes.tell({ kind: 'event', event, state: outcome.state, effects });
    }
    for (const [id, press] of this.#presses) {
      if (press.takenAt !== undefined && press.takenAt <= seq) this.#answer(id, { ok: true });
    }
    this.#caughtUp();
  }

  #caughtUp(): void {
    if (this.#up || this.#target === undefined || this.#seq < this.#target) return;
    this.#up = true;
    this.#wait = FIRST_WAIT_MS;
    this.#whyNot = undefined;
    if (this.#resolve) {
      this.#watch();
      this.#resolve({ ok: true, link: this });
    } else this.#changes.tell({ kind: 'back' });
    for (const [id, { happening }] of this.#presses) this.#say({ say: 'press', id, happening });
    if (this.#onEnd.length > 0) this.#say({ say: 'stop', id: randomUUID() });
  }

  #taken(id: string, seq: number): void {
    const press = this.#presses.get(id);
    if (seq <= this.#seq) this.#answer(id, { ok: true });
    else if (press) press.takenAt = seq;
  }

  #answer(id: string, pressed: Pressed): void {
    const press = this.#presses.get(id);
    this.#presses.delete(id);
    press?.resolve(pressed);
  }

  #setClock(keeper: number): void {
    this.#clock = { keeper, own: performance.now() };
  }

  #lost(detail: string): void {
    if (this.#over) return;
    const wasUp = this.#up;
    const silent = this.#silent;
    this.#up = this.#silent = false;
    this.#target = undefined;
    if (wasUp && !silent) this.#changes.tell({ kind: 'lost', detail });
    const folder = runFolder(this.#options.store, this.#options.run);
    const owned = isOwned(folder);
    // No keeper and no card: it was put down in order. No keeper but its card: it died, and the run waits for another.
    const putDown = !owned && (readOwner(folder) === undefined || this.#onEnd.length > 0);
    if (this.#resolve === undefined && putDown) {
      this.#ended(this.state.servedAt === undefined ? 'stopped' : 'served');
      return;
    }
    this.#revive(folder);
    this.#retry = setTimeout(() => this.open(), this.#wait);
    this.#wait = Math.min(this.#wait * 2, LONGEST_WAIT_MS);
  }

  /** Asks for a new keeper where the old one is dead, one request at a time. */
  #revive(folder: string): void {
    const { revive } = this.#options;
    if (revive === undefined || this.#reviving || isOwned(folder)) return;
    this.#reviving = true;
    const over = (why: string | undefined): void => {
      this.#reviving = false;
      if (why === undefined || why === this.#whyNot || this.#up || this.#over) return;
      this.#whyNot = why;
      this.#changes.tell({ kind: 'lost', detail: why });
    };
    revive().then(
      (spawned) => over(spawned.ok ? undefined : spawned.why),
      (error: unknown) => over(String(error)),
    );
  }

  #ended(reason: EndReason, detail?: string): void {
    if (this.#resolve) return this.#fail(detail ?? 'the keeper has just ended');
    this.#finish('the keeper has ended');
    this.#changes.tell({ kind: 'ended', reason, ...(detail === undefined ? {} : { detail }) });
    for (const ended of this.#onEnd.splice(0)) ended();
    return undefined;
  }

  #fail(why: string): void {
    this.#finish(why);
    this.#resolve?.({ ok: false, why });
  }

  #finish(why: string): void {
    this.#over = true;
    clearTimeout(this.#retry);
    clearInterval(this.#watchdog);
    this.#socket?.destroy();
    for (const id of this.#presses.keys()) this.#answer(id, { ok: false, why });
  }
}
