import { type Happening, type RunSetup } from '../bench/index.ts';
import type { Control, Playing, Rehearsing, Said } from '../board/index.ts';
import { memoryJournal, type Journal } from '../journal/index.ts';
import {
  benchEngine,
  directReplanner,
  momentOf,
  openLocalKeeper,
  simulatedClock,
  type LinkChange,
  type LocalKeeper,
  type RunLink,
  type SimulatedClock,
} from '../keeper/index.ts';
import { componentNames } from '../plan/index.ts';
import { replan } from '../planner/index.ts';
import {
  createRehearsal,
  isTold,
  LIFELIKE,
  missedIn,
  type Hands,
  type Missed,
  type Mishap,
  type Rehearsal,
} from '../rehearsal/index.ts';
import { wallClock, type EpochMs } from '../units/index.ts';

export interface PlayOptions {
  readonly setup: RunSetup;
  readonly seed: number;
  /** How many times as fast as life it goes to begin with. */
  readonly speed: number;
  /** Whose hands do what is called; with `mine` nobody's but those at the keyboard. */
  readonly hands?: Hands;
  /** Where it is written down, with its clock; in memory by default. What is written down is never taken back. */
  readonly kept?: (clock: SimulatedClock) => Journal;
}

/** A rehearsal that plays: what a board holds of it, and what else it can be asked. */
export interface Play {
  /** What a board holds of the rehearsal; it beats as the simulated time goes on. */
  readonly link: RunLink;
  readonly rehearsing: Rehearsing;
  stop(): Promise<void>;
  /** Why nothing goes on any more, if so. */
  stuck(): string | undefined;
  /** What was made to go wrong, in order. */
  thrown(): readonly Thrown[];
  /** What was missed so far, and what it cost. */
  missed(): Missed;
}

/** How often a board sees time go on, in real ms. */
const FRAME_MS = 250;
/** The speeds that can be had by key. */
const SPEEDS = [1, 2, 5, 10, 20, 60, 120, 300, 600, 1800, 3600] as const;
/** If nothing worth telling comes within so many events, going on by one thing gives up. */
const MOST_EVENTS = 20_000;

/**
 * Plays a simulated cook against a keeper in this process, `speed` times as fast as life. The simulated clock is moved
 * to exactly the next moment at which anything happens, so what happens and when depends on the seed alone and not on
 * how fast this machine is, nor on how often it was stopped, or taken back.
 */
export function playRehearsal(options: PlayOptions): Play {
  const player = new Player(options);
  return {
    link: player,
    rehearsing: {
      playing: () => player.playing(),
      control: (control) => player.control(control),
      mishaps: () => player.mishaps(),
      choosing: (is) => player.choosing(is),
    },
    stop: () => player.close(),
    stuck: () => player.stuck,
    thrown: () => player.thrown,
    missed: () => player.missed(),
  };
}

/** A keeper with its clock: one way in which the rehearsal went. Going back drops it and takes up another. */
interface Take {
  readonly keeper: LocalKeeper;
  readonly clock: SimulatedClock;
  readonly letGo: () => void;
}

/** Where the rehearsal stood right after something had happened. */
interface Mark {
  readonly events: number;
  readonly at: EpochMs;
  /** How much had been made to go wrong by then. */
  readonly thrown: number;
}

/** Something that was made to go wrong, and when. */
export interface Thrown extends Mishap {
  readonly at: EpochMs;
}

class Player implements RunLink {
  stuck: string | undefined;
  thrown: readonly Thrown[] = [];
  readonly #options: PlayOptions;
  readonly #hands: Hands;
  readonly #listeners = new Set<(change: LinkChange) => void>();
  #rehearsal: Rehearsal;
  #take: Take;
  #marks: readonly Mark[];
  #speed: number;
  #stopped = false;
  #isChoosing = false;
  #isOver = false;
  #timer: NodeJS.Timeout | undefined;

  constructor(options: PlayOptions) {
    const { setup, speed, hands = 'simulated' } = options;
    this.#options = options;
    this.#speed = speed;
    this.#hands = hands;
    this.#rehearsal = this.#cast();
    const clock = simulatedClock(setup.begunAt);
    this.#take = this.#takeUp(options.kept?.(clock) ?? memoryJournal(setup, momentOf(clock)), clock);
    this.#marks = [this.#here()];
    this.#schedule(0);
  }

  get state() {
    return this.#take.keeper.state;
  }

  clock(): EpochMs {
    return this.#take.keeper.clock();
  }

  press(happening: Happening) {
    const until = this.#hands === 'mine' ? this.#rehearsal.tiedUntil(this.clock()) : undefined;
    const { timeZone } = this.#options.setup.workload.kitchen;
    return until === undefined
      ? this.#take.keeper.press(happening)
      : Promise.resolve({ ok: false, why: `your hand is tied till ${wallClock(until, timeZone)}` } as const);
  }

  subscribe(listener: (change: LinkChange) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  async close(): Promise<void> {
    this.#isOver = true;
    clearTimeout(this.#timer);
    await this.#take.keeper.close();
  }

  stopRun(): Promise<void> {
    clearTimeout(this.#timer);
    return Promise.resolve();
  }

  playing(): Playing {
    return { speed: this.#speed, stopped: this.#stopped, hands: this.#hands, sees: this.#sees() };
  }

  mishaps(): readonly Mishap[] {
    return this.#rehearsal.mishaps(this.state, this.clock());
  }

  missed(): Missed {
    // What is made to go wrong changes nothing about what was so before.
    const casts = [...this.thrown, undefined].map((_, index) => this.#prompt(this.thrown.slice(0, index)));
    return missedIn(this.state, (at) => {
      const index = this.thrown.findIndex((each) => each.at > at);
      const cast = casts.at(index);
      if (!cast) throw new Error('nobody plays');
      return cast;
    });
  }

  choosing(is: boolean): void {
    if (this.#isChoosing === is) return;
    this.#isChoosing = is;
    this.#schedule(0);
  }

  control(control: Control): Said {
    switch (control.kind) {
      case 'stop or go':
        this.#stand(!this.#stopped);
        return good(this.#stopped ? 'stopped' : 'it goes on');
      case 'slower':
        return this.#changeSpeed(SPEEDS.findLast((each) => each < this.#speed));
      case 'faster':
        return this.#changeSpeed(SPEEDS.find((each) => each > this.#speed));
      case 'on':
        return this.#on();
      case 'back':
        return this.#back();
      case 'go wrong':
        return this.#goWrong(control.mishap);
    }
  }

  #goWrong(mishap: Mishap): Said {
    if (this.#isOver) return bad('the rehearsal is over');
    this.thrown = [...this.thrown, { ...mishap, at: this.clock() }];
    this.#rehearsal = this.#cast();
    return good(`it goes wrong: ${mishap.what}`);
  }

  /** Cook and kitchen, with all that was made to go wrong so far. */
  #cast(): Rehearsal {
    const { setup, seed } = this.#options;
    return createRehearsal({
      workload: setup.workload,
      seed,
      faults: this.thrown.flatMap((each) => each.faults),
      life: LIFELIKE,
      hands: this.#hands,
    });
  }

  /** A prompt cook in a kitchen in which so much was made to go wrong. */
  #prompt(thrown: readonly Thrown[]): Rehearsal {
    const { setup, seed } = this.#options;
    const faults = thrown.flatMap((each) => each.faults);
    const life = { ...LIFELIKE, forgets: 0 };
    return createRehearsal({ workload: setup.workload, seed, faults, life, probes: 'once' });
  }

  /** What a person at the keyboard would see by now, the latest first. */
  #sees(): readonly string[] {
    if (this.#hands === 'simulated') return [];
    const names = componentNames(this.#options.setup.workload);
    const now = this.clock();
    return this.#rehearsal
      .sights(this.state)
      .filter(({ at }) => at <= now)
      .map(({ component, what }) => `${names.get(component) ?? ''}: ${what}`)
      .toReversed();
  }

  #changeSpeed(speed: number | undefined): Said {
    if (speed === undefined) return bad('there is no other speed that way');
    this.#speed = speed;
    // While it stands the board does not show how fast it would go.
    return good(this.#stopped ? `${speed === 1 ? 'real time' : `${speed}x life`} when it goes on` : '');
  }

  /** Goes on to the next thing that is worth telling. */
  #on(): Said {
    this.#stand(true);
    if (this.#isOver) return bad('the rehearsal is over');
    for (let count = 0; count < MOST_EVENTS; count += 1) {
      const before = this.state;
      const sights = this.#sees().length;
      if (this.#next(Infinity) === undefined) return bad('nothing more comes by itself');
      if (this.state.servedAt !== undefined) break;
      if (isTold(before, this.state) || this.#sees().length > sights) break;
    }
    this.#beat();
    return good('');
  }

  /** Goes back to where the thing before had just happened; the same luck lies ahead again. */
  #back(): Said {
    if (this.#options.kept) return bad('it is written down as it goes (--store), and does not go back');
    this.#stand(true);
    const here = this.#here();
    const last = this.#marks.at(-1);
    const isThere = last?.events === here.events && last.at === here.at && last.thrown === here.thrown;
    const marks = isThere ? this.#marks.slice(0, -1) : this.#marks;
    const mark = marks.at(-1);
    if (!mark) return bad('this is where the rehearsal begins');
    const events = this.state.history.slice(0, mark.events);
    const clock = simulatedClock(mark.at);
    const journal = memoryJournal(this.#options.setup, momentOf(clock));
    for (const event of events) {
      const ago = event.time - mark.at;
      journal.append(event, { wall: event.time, elapsed: ago, boot: clock.boot });
    }
    this.#take.letGo();
    void this.#take.keeper.close();
    this.#take = this.#takeUp(journal, clock);
    this.#marks = marks;
    this.thrown = this.thrown.slice(0, mark.thrown);
    this.#rehearsal = this.#cast();
    this.#isOver = false;
    this.stuck = undefined;
    this.#tell({ kind: 'rewound' });
    return good('');
  }

  #here(): Mark {
    return { events: this.state.history.length, at: this.clock(), thrown: this.thrown.length };
  }

  #takeUp(journal: Journal, clock: SimulatedClock): Take {
    const { workload } = this.#options.setup;
    // The simulated clock waits for a new timetable, so that what happens does not depend on this machine.
    const replanner = directReplanner(workload, replan);
    const keeper = openLocalKeeper({ journal, engine: benchEngine, clock, replanner });
    let before = keeper.state;
    const letGo = keeper.subscribe((change) => {
      if (change.kind === 'event') {
        if (isTold(before, change.state)) this.#note();
        before = change.state;
      }
      this.#tell(change);
    });
    return { keeper, clock, letGo };
  }

  /** What happens at one moment is one thing. */
  #note(): void {
    const here = this.#here();
    this.#marks = [...this.#marks.filter(({ at }) => at < here.at), here];
  }

  /** Plays what lies within the next frame. A great many things can; the board still gets its turn after each frame. */
  #frame(): void {
    const from = performance.now();
    let budget = FRAME_MS * this.#speed;
    while (budget > 0 && this.state.servedAt === undefined) {
      const passed = this.#next(budget);
      if (passed === undefined) break;
      budget -= passed;
      if (performance.now() - from > FRAME_MS) break;
    }
    this.#take.keeper.tick();
    this.#beat();
    if (!this.#isOver && !this.#stopped && !this.#isChoosing)
      this.#schedule(FRAME_MS - (performance.now() - from));
  }

  /** Lets time pass to the next thing that happens, or by `most` ms: how much it was; nothing where nothing comes any more. */
  #next(most: number): number | undefined {
    const { keeper, clock } = this.#take;
    const now = keeper.clock();
    const act = this.#rehearsal.nextAct(keeper.state, now);
    const sight =
      this.#hands === 'mine'
        ? this.#rehearsal.sights(keeper.state).find(({ at }) => at > now)?.at
        : undefined;
    const next = [act?.at, keeper.state.deadline, sight].filter((moment) => moment !== undefined);
    if (next.length === 0 && this.#hands === 'simulated')
      this.stuck = 'nobody has anything to do, and no deadline lies ahead';
    const wait = Math.max(0, Math.min(...next) - now);
    // Whoever has hands of their own may always do something; but nothing comes by itself any more.
    if (wait === Infinity && (this.stuck !== undefined || most === Infinity)) return undefined;
    clock.advance(Math.min(wait, most));
    if (wait > most) return most;
    keeper.tick();
    if (act && act.at <= keeper.clock()) keeper.act(act.source, act.happening);
    return wait;
  }

  #beat(): void {
    this.#tell({ kind: 'beat' });
    if (this.#isOver) return;
    if (this.state.servedAt !== undefined) this.#end({ kind: 'ended', reason: 'served' });
    else if (this.stuck !== undefined) this.#end({ kind: 'ended', reason: 'failed', detail: this.stuck });
  }

  #end(change: LinkChange): void {
    this.#isOver = true;
    clearTimeout(this.#timer);
    this.#tell(change);
  }

  #stand(is: boolean): void {
    this.#stopped = is;
    this.#schedule(0);
  }

  /** Goes on after so many ms, unless it stands still. */
  #schedule(after: number): void {
    clearTimeout(this.#timer);
    if (this.#isOver || this.#stopped || this.#isChoosing) return;
    this.#timer = setTimeout(() => this.#frame(), Math.max(0, after));
  }

  #tell(change: LinkChange): void {
    for (const listener of this.#listeners) listener(change);
  }
}

const good = (text: string): Said => ({ text, bad: false });
const bad = (text: string): Said => ({ text, bad: true });
