import { isOnAir, type BenchState, type Effect, type Gap } from '../bench/index.ts';
import type { EndReason, LinkChange, Pressed, RunLink } from '../keeper/index.ts';
import { plus, secondsBetween, type EpochMs } from '../units/index.ts';
import {
  boardView,
  clean,
  clockWords,
  movedServiceView,
  sounding,
  topmost,
  type Absence,
  type BoardView,
  type BoardViewOptions,
  type MovedServiceView,
} from '../view/index.ts';
import { takenFor } from './choices.ts';
import { press } from './keys.ts';
import type { Act, Key } from './pressed.ts';
import type { LogEntry } from './pages.ts';
import type { Supposing } from './supposing.ts';
import type { Rehearsing } from './rehearsing.ts';
import { axisWidth, paintScreen, type Size } from './screen.ts';
import type { Line } from './lines.ts';
import { FRESH, noted, settle, type LinkState, type Ui } from './ui.ts';

/** How a board ended. */
export type BoardEnd =
  /** Everything went out: the run is over. */
  | { readonly kind: 'served' }
  /** The board was closed; the run goes on. */
  | { readonly kind: 'left' }
  /** The run's keeper was ended, from here or elsewhere; the run can be resumed. */
  | { readonly kind: 'stopped' }
  /** The keeper could not go on; why, for people. */
  | { readonly kind: 'failed'; readonly detail: string };

/** A keeper's end as a board's end. */
export const boardEnd = (reason: EndReason, detail: string | undefined): BoardEnd =>
  reason === 'failed'
    ? { kind: 'failed', detail: clean(detail ?? 'the keeper could not go on') }
    : { kind: reason };

/** What a session needs of the world around it. */
export interface Surroundings {
  /** A steady clock, ms. */
  readonly steady: () => number;
  /** The terminal's size. */
  readonly size: () => Size;
  /** Something on the screen may have changed. */
  readonly changed: () => void;
  /** Draw everything anew, whatever the terminal shows. */
  readonly redraw: () => void;
  /** What an event let out: for the bell. */
  readonly sound: (effects: readonly Effect[]) => void;
  readonly ended: (end: BoardEnd) => void;
  /** Says what moving service would mean. */
  readonly supposing?: Supposing;
  /** Where the run is a rehearsal: how it plays, and what it can be asked. */
  readonly rehearsing?: Rehearsing;
  /** How a state is looked at; the view's own by default. */
  readonly look?: (state: BenchState, now: EpochMs, options: BoardViewOptions) => BoardView;
}

/** One board on one run: the link's changes and the keys go in, whole screens come out. Knows no terminal and no React. */
export interface Session {
  /** The screen now: exactly as many rows as the size has. */
  screen(): Line[];
  key(key: Key): void;
  /** Time has gone on: prompts and notes may be over. */
  tick(): void;
  close(): void;
}

/** Nobody pressed a key for so long, in seconds: whoever opens a board then is told what happened meanwhile. */
const LONG_ABSENCE = 600;
/** After the keeper has ended a key closes the board only once the end has been in sight for this long, in ms. */
const END_IN_SIGHT = 1000;
/** A gap shorter than this, in seconds, takes no page of its own: the log has it, and a cook at work keeps the screen. */
const SHORT_GAP = 60;
const worthTelling = ({ from, to }: Gap): boolean => secondsBetween(from, to) >= SHORT_GAP;
const KEEPER_SILENT = "the run's keeper is not answering: times go on from what is known";

/** The board once the keeper has answered a press: what was done, or why not. */
function answered(
  ui: Ui,
  act: Extract<Act, { kind: 'send' }>,
  pressed: Pressed,
  state: BenchState,
  at: number,
): Ui {
  const after = { ...ui, sent: ui.sent.filter((key) => key !== act.key) };
  if (!pressed.ok) return noted(after, `not done: ${clean(pressed.why)}`, at, true);
  const { asked, proposal } = state.replanning;
  // The answer to what was asked can be there before the asking is acknowledged.
  if (act.happening.kind === 'timetable asked' && (asked === undefined || proposal)) return after;
  return act.said === '' ? after : noted(after, `${takenFor(state, act.happening)}${act.said}`, at);
}

/** Names what stands topmost, so that a change of it is seen. */
function topmostKey(state: BenchState, now: EpochMs): string {
  const top = topmost(state, now);
  return top.kind === 'nothing' ? '' : top.kind === 'alarm' ? top.alarm.key : top.call.key;
}

/** Figures change once a second: a key press within it is drawn from the same look. */
function onceASecond(look: (state: BenchState, now: EpochMs, options: BoardViewOptions) => BoardView) {
  let last: { readonly of: readonly unknown[]; readonly view: BoardView } | undefined;
  return (state: BenchState, now: EpochMs, width: number, absence: Ui['absence']): BoardView => {
    const of = [state, Math.floor(now / 1000), width, absence];
    if (last && last.of.every((each, index) => each === of[index])) return last.view;
    last = { of, view: look(state, now, { axisWidth: width, ...(absence ? { absence } : {}) }) };
    return last.view;
  };
}

/** What an event means to the board itself: a gap is told on a page, and whoever asked for a new timetable hears why there is none. */
function told(ui: Ui, { event, state }: Extract<LinkChange, { kind: 'event' }>, at: number): Ui {
  const { gap, log } = state;
  if (event.kind === 'gap' && gap && worthTelling(gap)) return { ...ui, absence: gap };
  if (event.kind === 'not proposed' && /^(asked|service) /.test(event.because))
    return noted(ui, clean(log.at(-1)?.text ?? ''), at);
  return ui;
}

/** What a board shows beside the run, as it changes. */
interface Shown {
  readonly ui: () => Ui;
  readonly update: (next: Ui) => void;
}

/** Carries out what a key set off. */
function carryOut(act: Act, link: RunLink, around: Surroundings, { ui, update }: Shown): void {
  switch (act.kind) {
    case 'send':
      void link
        .press(act.happening)
        .then((pressed) => update(answered(ui(), act, pressed, link.state, around.steady())));
      return undefined;
    case 'redraw':
      return around.redraw();
    case 'suppose':
      void around.supposing?.ask(link.state, link.clock(), act.moves).then((answer) => {
        const { prompt } = ui();
        // Another amount may have been chosen meanwhile.
        if (prompt?.kind === 'guests' && prompt.moves === act.moves)
          update({ ...ui(), prompt: { ...prompt, answer } });
      });
      return undefined;
    case 'rehearse': {
      const said = around.rehearsing?.control(act.control);
      return update(
        said === undefined || said.text === '' ? ui() : noted(ui(), said.text, around.steady(), said.bad),
      );
    }
    case 'leave':
      return around.ended({ kind: 'left' });
    case 'end run':
      void link.stopRun().then(() => around.ended({ kind: 'stopped' }));
      return undefined;
  }
}

/** Opens a session on a run; see `Session`. */
export function openSession(link: RunLink, around: Surroundings): Session {
  let ui: Ui = { ...FRESH, ...absenceOf(link.state, link.clock()) };
  let linkState: LinkState = {};
  let shown = { key: '', since: 0 };
  let end: { readonly at: number; readonly told: BoardEnd } | undefined;

  const seen = onceASecond(around.look ?? boardView);
  const update = (next: Ui): void => {
    ui = next;
    around.rehearsing?.choosing(ui.prompt?.kind === 'mishap' || ui.prompt?.kind === 'guests');
    around.changed();
  };
  const unsubscribe = link.subscribe((change) => {
    if (change.kind === 'event') {
      around.sound(change.effects);
      ui = told(ui, change, around.steady());
    } else if (change.kind === 'ended') {
      end = { at: around.steady(), told: boardEnd(change.reason, change.detail) };
    } else if (change.kind === 'rewound') {
      end = undefined;
    }
    linkState = linkStateAfter(linkState, change, link.state, around.rehearsing !== undefined);
    around.changed();
  });

  return {
    screen() {
      const { state } = link;
      const now = link.clock();
      const size = around.size();
      const key = topmostKey(state, now);
      if (key !== shown.key) shown = { key, since: around.steady() };
      const view = seen(state, now, axisWidth(size.width), ui.absence);
      const beat = Math.floor(now / 1000) % 2 === 1;
      const playing = around.rehearsing?.playing();
      const context = {
        ui,
        link: linkState,
        beat,
        now,
        ...(playing ? { playing } : {}),
        ...movedService(state, now, ui.prompt),
      };
      return paintScreen(view, context, size, logEntries(state, now, ui));
    },
    key(key) {
      const at = around.steady();
      // A rehearsal can be taken back from its end.
      if (end && !(around.rehearsing && key === 'backspace')) {
        if (at - end.at < END_IN_SIGHT) return;
        around.ended(end.told);
        return;
      }
      const { rehearsing } = around;
      const pressing = {
        state: link.state,
        now: link.clock(),
        at,
        shownSince: shown.since,
        ...(rehearsing ? { mishaps: () => rehearsing.mishaps() } : {}),
      };
      const pressed = press(ui, key, pressing);
      update(pressed.ui);
      for (const act of pressed.acts) carryOut(act, link, around, { ui: () => ui, update });
    },
    tick() {
      update(settle(ui, around.steady()));
    },
    close: unsubscribe,
  };
}

/** What moving service would mean, while that is asked. */
const movedService = (
  state: BenchState,
  now: EpochMs,
  prompt: Ui['prompt'],
): { readonly movedService?: MovedServiceView } =>
  prompt?.kind === 'guests' && prompt.moves
    ? { movedService: movedServiceView(state, now, prompt.moves, prompt.answer) }
    : {};

function linkStateAfter(
  before: LinkState,
  change: LinkChange,
  state: BenchState,
  rehearses: boolean,
): LinkState {
  switch (change.kind) {
    case 'event':
    case 'beat':
      return before;
    case 'rewound':
      return {};
    case 'lost':
      return { ...before, trouble: KEEPER_SILENT };
    case 'trouble':
      return { ...before, trouble: `nothing can be written down: ${clean(change.detail)}` };
    case 'back':
    case 'trouble over': {
      const { trouble: _, ...rest } = before;
      return rest;
    }
    case 'ended':
      return {
        ended: `${endWords(change.reason, change.detail, state)}; any key closes the board${rehearses ? ' and tells what was missed; Bksp goes back' : ''}`,
      };
  }
}

/** How a keeper's end is told. */
export function endWords(reason: EndReason, detail: string | undefined, { setup }: BenchState): string {
  switch (reason) {
    case 'served':
      return setup.rundown ? 'the demonstration is over' : 'served: the run is over';
    case 'stopped':
      return 'the run was stopped; "thirdhand resume" carries it on';
    case 'failed':
      return `the keeper could not go on${detail === undefined ? '' : `: ${clean(detail)}`}`;
  }
}

/** Whether there is something to tell to somebody who opens a board now. */
function absenceOf(state: BenchState, now: EpochMs): { readonly absence?: Absence } {
  if (state.gap && worthTelling(state.gap)) return { absence: state.gap };
  const last = state.history.findLast((event) => event.source === 'cook')?.time ?? state.setup.begunAt;
  const happened = state.log.some((entry) => entry.at > plus(last, 1));
  if (state.servedAt !== undefined || !happened || secondsBetween(last, now) < LONG_ABSENCE) return {};
  return { absence: { from: last, to: now, reason: 'nobody looked' } };
}

/** The log for people, as far as a page can show it. */
function logEntries(state: BenchState, now: EpochMs, ui: Ui): LogEntry[] {
  if (ui.page !== 'log') return [];
  const { timeZone } = state.setup.workload.kitchen;
  return state.log
    .slice(-200)
    .map((entry) => ({ clock: clockWords(entry.at, now, timeZone), text: clean(entry.text) }));
}

/**
 * What sounds already when a board opens, as if it had just been let out: a bell that rang in an empty room rings again.
 * Nothing while it is quiet, and on air only what is high.
 */
export const soundingNow = (state: BenchState, now: EpochMs): readonly Effect[] =>
  state.quietUntil !== undefined && state.quietUntil > now
    ? []
    : sounding(state, now)
        .filter(({ priority }) => priority === 'high' || !isOnAir(state))
        .map((each) => ({
          kind: 'ring',
          key: each.key,
          nth: 1,
          priority: each.priority,
          text: 'text' in each ? each.text : each.cause,
        }));
