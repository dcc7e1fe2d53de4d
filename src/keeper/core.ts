import {
  happeningOf,
  type BenchEvent,
  type BenchState,
  type Effect,
  type Happening,
  type Situation,
  type Source,
} from '../bench/index.ts';
import { runTimeAt, type Journal } from '../journal/index.ts';
import type { Progress, Proposal, Timetable } from '../planner/index.ts';
import { visible } from '../plan/index.ts';
import { earlier, epochMs, type EpochMs } from '../units/index.ts';
import { momentOf, type Clock } from './clock.ts';
import type { BenchEngine } from './engine.ts';
import type { EndReason } from './link.ts';
import type { Replanned, Replanner } from './replanner.ts';
import type { Foreseen, Forecaster } from './forecaster.ts';
import { brokenRule } from './rules.ts';
import { runClock, type RunClock } from './run-clock.ts';

/*
 * The heart of a keeper: it takes one input at a time and finishes with it before the next.
 *
 * For each event, in this order: (1) the bench works out what would come of it, which changes nothing; (2) a refused
 * event ends here, unwritten; (3) the event is committed to the journal; (4) the new state is adopted and the boards
 * are told; (5) whoever pressed is told that it is taken; (6) the effects go out. A crash before (3) loses a press that
 * was not acknowledged; a crash after (3) loses nothing: the next keeper reads the event.
 *
 * New timetables: (1) after an input, the bench names the situation that wants one; (2) how far the run has come is handed
 * to the replanner, one request at a time, and the keeper goes on; (3) when the answer comes, it is thrown away unless that
 * situation is still the one that wants it; (4) a timetable is held to the verifier, by what was handed over; (5) the offer is
 * an event like any other, and the bench refuses it where what has happened since no longer fits it. Whatever was thrown
 * away is asked for again by (1), from how the run stands then.
 *
 * Looks ahead go the same way: one at a time, not more often than every 15 s, and what comes of one is an event that the
 * bench refuses where something has happened since. That the way is still clear is not written down.
 */

/** Everything that can come to a keeper. */
type Input =
  /** Somebody or something acts. `id` makes the same act twice once. */
  | { readonly kind: 'act'; readonly id: string; readonly source: Source; readonly happening: Happening }
  /** Time may have come to something. */
  | { readonly kind: 'tick' }
  /** The replanner has answered. */
  | { readonly kind: 'replanned'; readonly replanned: Replanned }
  /** Somebody has looked ahead, from how the run stood at `of`. */
  | { readonly kind: 'foreseen'; readonly of: EpochMs; readonly foreseen: Foreseen }
  | { readonly kind: 'stop'; readonly reason: EndReason; readonly detail?: string };

/** What became of an act. `seq`: where it stands in the journal. */
export type Taken =
  | { readonly ok: true; readonly seq: number }
  | { readonly ok: false; readonly why: string };

/** What those who watch a keeper hear. */
export type CoreChange =
  | {
      readonly kind: 'event';
      readonly seq: number;
      readonly event: BenchEvent;
      readonly state: BenchState;
      readonly effects: readonly Effect[];
    }
  | { readonly kind: 'trouble'; readonly detail: string }
  | { readonly kind: 'trouble over' }
  | { readonly kind: 'ended'; readonly reason: EndReason; readonly detail?: string };

export interface CoreOptions {
  readonly journal: Journal;
  readonly engine: BenchEngine;
  readonly clock: Clock;
  /** Carries out effects; called after the act that caused them is acknowledged. */
  readonly perform?: (effects: readonly Effect[]) => void;
  /** For the log of the program: what went wrong inside. */
  readonly complain?: (what: string) => void;
  /** A silence longer than this (ms of the run) was a sleep of the machine and is recorded as a gap. Default 5 s. */
  readonly longestSilence?: number;
  /** How long (ms of the run) the keeper stays after service. Default 10 min. */
  readonly linger?: number;
  /** Works out new timetables; without one none is ever offered. */
  readonly replanner?: Replanner;
  /** Looks ahead over the ranges of what is open; without one nobody does. */
  readonly forecaster?: Forecaster;
}

export interface Core {
  readonly state: BenchState;
  readonly journal: Journal;
  /** What stands in the way of writing, while something does. */
  readonly trouble: string | undefined;
  readonly ended: boolean;
  /** The run's time now. */
  now(): EpochMs;
  /** When the bench next wants to hear of the time. */
  nextDeadline(): EpochMs | undefined;
  /** Takes one input. `reply` hears what became of an act before its effects go out. Never throws for what came from outside. */
  take(input: Input, reply?: (taken: Taken) => void): void;
  /** Hears of everything from now on; the answer ends it. */
  watch(watcher: (change: CoreChange) => void): () => void;
}

/** A pause before the keeper takes over that is too short to speak of. */
const SHORT_GAP_MS = 2000;
const ALIVE_EVERY_MS = 15_000;
const LOOK_AHEAD_EVERY_MS = 15_000;

/**
 * Takes up a run from its journal: the state is what its events make of it, and its time goes on from where it was,
 * by as much as has passed. What nobody watched is recorded as a gap, and what fell due meanwhile follows at once.
 */
export function openCore(options: CoreOptions): Core {
  const { journal, engine, clock } = options;
  const reckoned = runTimeAt(journal.alive, momentOf(clock));
  const keeper = new KeeperCore(options, runClock(clock, reckoned.time));
  const { alive } = journal;
  for (const event of journal.events) keeper.fold(engine.apply(keeper.state, event));
  if (reckoned.from === 'wall behind') keeper.gap(alive.time, 'clock stepped');
  else if (reckoned.time - alive.time > SHORT_GAP_MS) keeper.gap(alive.time, 'keeper stopped');
  keeper.take({ kind: 'tick' });
  return keeper;
}

class KeeperCore implements Core {
  state: BenchState;
  trouble: string | undefined;
  ended = false;
  readonly journal: Journal;
  readonly #options: CoreOptions;
  readonly #time: RunClock;
  readonly #watchers = new Set<(change: CoreChange) => void>();
  #due: Effect[] = [];
  /** When the keeper was last awake, in the run's time. */
  #seen: EpochMs;
  #notedAlive: EpochMs;
  #lingersFrom: EpochMs;
  /** What has been said already. */
  readonly #complained = new Set<string>();
  /** What the replanner works on now. */
  #asked:
    | { readonly situation: Situation; readonly progress: Progress; readonly state: BenchState }
    | undefined;

  #isLooking = false;
  #lookedAt = epochMs(0);
  /** The last look ahead that saw nothing where nothing was feared. */
  #clear: BenchState['forecast'];

  constructor(options: CoreOptions, time: RunClock) {
    this.#options = options;
    this.#time = time;
    this.journal = options.journal;
    this.state = options.engine.begin(options.journal.setup);
    this.#seen = this.#notedAlive = this.#lingersFrom = time.now();
  }

  now(): EpochMs {
    return this.#time.now();
  }

  nextDeadline(): EpochMs | undefined {
    return this.#options.engine.nextDeadline(this.state);
  }

  watch(watcher: (change: CoreChange) => void): () => void {
    this.#watchers.add(watcher);
    return () => this.#watchers.delete(watcher);
  }

  take(input: Input, reply?: (taken: Taken) => void): void {
    if (this.ended) {
      reply?.({ ok: false, why: 'the keeper has ended' });
      return;
    }
    this.#catchUp();
    switch (input.kind) {
      case 'act': {
        const taken = this.#act(input);
        reply?.(taken);
        break;
      }
      case 'tick':
        this.#lookAfter();
        break;
      case 'replanned':
        this.#replanned(input.replanned);
        break;
      case 'foreseen':
        this.#foreseen(input.of, input.foreseen);
        break;
      case 'stop':
        this.#end(input.reason, input.detail);
        break;
    }
    const effects = this.#due;
    this.#due = [];
    if (effects.length > 0) this.#options.perform?.(effects);
    this.#askForTimetable();
    this.#lookAhead();
  }

  /** Asks for a new timetable where the bench wants one, no other request is under way, and it could be written down. */
  #askForTimetable(): void {
    const { replanner, engine } = this.#options;
    if (!replanner || this.#asked || this.ended || this.trouble !== undefined) return;
    const situation = engine.wantsReplan(this.state);
    if (!situation) return;
    const progress = engine.progressOf(this.state, this.now());
    this.#asked = { situation, progress, state: this.state };
    replanner.ask(progress, (replanned) => this.take({ kind: 'replanned', replanned }));
  }

  /** Has somebody look ahead where the bench wants it. */
  #lookAhead(): void {
    const { forecaster, engine } = this.#options;
    const now = this.now();
    if (!forecaster || this.#isLooking || this.ended || this.trouble !== undefined) return;
    if (now - this.#lookedAt < LOOK_AHEAD_EVERY_MS || !engine.wantsForecast(this.#withClear(), now)) return;
    this.#isLooking = true;
    this.#lookedAt = now;
    const of = this.state.time;
    forecaster.ask({ state: this.state, now }, (foreseen) => this.take({ kind: 'foreseen', of, foreseen }));
  }

  #foreseen(of: EpochMs, foreseen: Foreseen): void {
    this.#isLooking = false;
    if (foreseen.kind === 'failed' || this.trouble !== undefined) return;
    const { clashes } = foreseen;
    const isStillClear = clashes.length === 0 && (this.state.forecast?.clashes ?? []).length === 0;
    if (isStillClear) this.#clear = { of, clashes };
    else this.#commit({ ...this.#stamp('clock'), kind: 'forecast', of, clashes });
  }

  /** The run with the last look ahead at it, also where that was not worth writing down. */
  #withClear(): BenchState {
    const clear = this.#clear;
    return clear && clear.of >= (this.state.forecast?.of ?? 0)
      ? { ...this.state, forecast: clear }
      : this.state;
  }

  /** What the replanner came to, unless something else is wanted by now. */
  #replanned(replanned: Replanned): void {
    const asked = this.#asked;
    this.#asked = undefined;
    if (!asked || this.#options.engine.wantsReplan(this.state)?.key !== asked.situation.key) return;
    const happening = this.#answerTo(asked.situation, asked.progress, replanned);
    const taken = this.#commit({ ...this.#stamp('clock'), ...happening });
    // Refused because of what has happened since: it is asked again. Refused although nothing has: that would go on for ever.
    if (taken.ok || this.trouble !== undefined || this.state !== asked.state) return;
    this.#complain(`a new timetable was refused: ${taken.why}`);
    const key = asked.situation.key;
    this.#commit({
      ...this.#stamp('clock'),
      kind: 'not proposed',
      because: key,
      outcome: 'failed',
      why: taken.why,
    });
  }

  /** The event to make of an answer. A timetable that breaks a rule is never offered. */
  #answerTo(situation: Situation, progress: Progress, replanned: Replanned): Happening {
    const failed = (why: string): Happening => {
      return { kind: 'not proposed', because: situation.key, outcome: 'failed', why };
    };
    if (replanned.kind === 'failed') return failed(replanned.why);
    if (replanned.kind === 'proposal') {
      const { workload } = this.journal.setup;
      const violation = brokenRule(workload, replanned.timetable, progress, replanned.broken);
      if (violation !== undefined) {
        this.#complain(`a new timetable breaks a rule: ${violation}`);
        return failed('the one that was found breaks a rule');
      }
      return happeningOf(situation, this.#withSoundOthers(replanned, progress));
    }
    return happeningOf(situation, replanned);
  }

  /** Other ways out are offered only where they break no rule either. */
  #withSoundOthers(proposal: Proposal, progress: Progress): Proposal {
    const { others, ...first } = proposal;
    const { workload } = this.journal.setup;
    const sound = others?.filter(
      ({ timetable, broken }) => brokenRule(workload, timetable, progress, broken) === undefined,
    );
    return sound && sound.length > 0 ? { ...first, others: sound } : first;
  }

  /** Adopts what replaying an event of the journal gave. */
  fold(outcome: ReturnType<BenchEngine['apply']>): void {
    if (outcome.ok) this.state = outcome.state;
  }

  /** Records that nobody kept the run from `from` until now. */
  gap(from: EpochMs, reason: (Happening & { kind: 'gap' })['reason']): Taken {
    return this.#commit({ ...this.#stamp('clock'), kind: 'gap', from: earlier(from, this.now()), reason });
  }

  /** Brings the run to the present before anything else is done to it: gaps first, then what has fallen due. */
  #catchUp(): void {
    const now = this.now();
    const slept = now - this.#seen > (this.#options.longestSilence ?? 5000);
    // A gap that could not be written (the disk is full) is tried again, and grows meanwhile.
    if (!slept || this.gap(this.#seen, 'machine slept').ok) this.#seen = now;
    if (this.#time.wallStepped()) this.gap(now, 'clock stepped');
    const deadline = this.nextDeadline();
    if (deadline === undefined || deadline > now) return;
    const taken = this.#commit({ ...this.#stamp('clock'), kind: 'clock' });
    if (!taken.ok && this.trouble === undefined) this.#complain(`the bench refused the clock: ${taken.why}`);
  }

  #act({ id, source, happening }: Input & { kind: 'act' }): Taken {
    const known = this.journal.seqOf(id);
    if (known !== undefined) return { ok: true, seq: known };
    // The name of a timer or a probe is shown wherever the run is, and in its record for ever.
    const texts = Object.values(happening).filter((value) => typeof value === 'string');
    if (texts.some((text) => visible(text) !== text))
      return { ok: false, why: 'there are unseen characters in that name' };
    if (happening.kind === 'timetable') {
      // What is in the journal was accepted once and must be for ever, so the rules are asked here and not by the bench.
      const why = this.#whyNot(happening.timetable);
      if (why !== undefined) return { ok: false, why };
    }
    const stamp = { ...this.#stamp(source), id };
    if (happening.kind !== 'start' && happening.kind !== 'done')
      return this.#commit({ ...stamp, ...happening });
    return this.#commit({ ...stamp, ...happening, at: earlier(happening.at, stamp.time) });
  }

  /** Which rule a timetable from outside breaks. The one that was offered was asked when it was. */
  #whyNot(timetable: Timetable): string | undefined {
    const { proposal } = this.state.replanning;
    const offered = proposal ? [proposal, ...proposal.others] : [];
    const text = JSON.stringify(timetable);
    if (offered.some((way) => JSON.stringify(way.timetable) === text)) return undefined;
    const progress = this.#options.engine.progressOf(this.state, this.now());
    const violation = brokenRule(this.journal.setup.workload, timetable, progress, []);
    return violation === undefined ? undefined : `that timetable breaks a rule: ${violation}`;
  }

  /** The keeper's own names hold a colon, which no board's may. */
  #stamp(source: Source): { id: string; time: EpochMs; source: Source } {
    return { id: `keeper:${this.journal.events.length + 1}`, time: this.now(), source };
  }

  #commit(event: BenchEvent): Taken {
    const outcome = this.#apply(event);
    if (!outcome.ok) return { ok: false, why: outcome.why };
    const written = this.journal.append(event, momentOf(this.#options.clock));
    if (!written.ok) {
      if (written.problem.code !== 'not writable as an event') this.#troubled(written.problem.what);
      return { ok: false, why: `${written.problem.what}; ${written.problem.hint}` };
    }
    const served = this.state.servedAt;
    this.state = outcome.state;
    this.#untroubled();
    if (this.state.servedAt !== served) this.#served();
    this.#due.push(...outcome.effects);
    this.#tell({ kind: 'event', seq: written.seq, event, state: this.state, effects: outcome.effects });
    return { ok: true, seq: written.seq };
  }

  /** A fault in the bench must not end the keeper: the event is refused, nothing is written, and the timers go on. */
  #apply(event: BenchEvent): ReturnType<BenchEngine['apply']> {
    try {
      return this.#options.engine.apply(this.state, event);
    } catch (error) {
      this.#complain(`the bench failed on ${JSON.stringify(event)}: ${String(error)}`);
      return { ok: false, state: this.state, why: 'thirdhand made a mistake; the run goes on as it was' };
    }
  }

  /** What is done about once a second beside the run itself. */
  #lookAfter(): void {
    const now = this.now();
    if (this.journal.isGone())
      return this.#end('failed', 'the journal of the run has been deleted or replaced');
    if (this.trouble !== undefined && this.journal.tryRoom() === undefined) this.#untroubled();
    if (now - this.#notedAlive >= ALIVE_EVERY_MS && this.trouble === undefined) {
      this.#notedAlive = now;
      const problem = this.journal.noteAlive({ ...momentOf(this.#options.clock), time: now });
      if (problem !== undefined) this.#troubled(problem.what);
    }
    const isServed = this.state.servedAt !== undefined;
    if (isServed && now - this.#lingersFrom >= (this.#options.linger ?? 600_000)) this.#end('served');
    return undefined;
  }

  #served(): void {
    this.journal.noteServed(this.state.servedAt);
    this.#lingersFrom = this.now();
  }

  #troubled(detail: string): void {
    if (this.trouble === detail) return;
    this.trouble = detail;
    this.#complain(detail);
    this.#tell({ kind: 'trouble', detail });
  }

  #untroubled(): void {
    if (this.trouble === undefined) return;
    this.trouble = undefined;
    this.#complained.clear();
    this.#tell({ kind: 'trouble over' });
  }

  #end(reason: EndReason, detail?: string): void {
    this.ended = true;
    this.#options.replanner?.close();
    this.#options.forecaster?.close();
    this.journal.noteAlive({ ...momentOf(this.#options.clock), time: this.now() });
    this.#tell({ kind: 'ended', reason, ...(detail === undefined ? {} : { detail }) });
  }

  /** Says each thing once, so that a fault that comes with every tick does not fill the log. */
  #complain(what: string): void {
    if (this.#complained.has(what)) return;
    if (this.#complained.size < 100) this.#complained.add(what);
    this.#options.complain?.(what);
  }

  #tell(change: CoreChange): void {
    for (const watcher of this.#watchers) watcher(change);
  }
}
