import type { AlarmKind, Priority, ServiceMove } from '../bench/index.ts';
import type { Absence, MoveAnswer, MovedServiceView } from '../view/index.ts';
import type { StepId } from '../plan/index.ts';
import type { Mishap } from '../rehearsal/index.ts';
import type { StageStanding } from '../bench/index.ts';
import type { EpochMs } from '../units/index.ts';
import type { Playing } from './rehearsing.ts';

/** What a board shows beside the run itself. Moments named `…At` are on the board's own steady clock, in ms. */
export interface Ui {
  readonly page: 'board' | 'alarms' | 'temperatures' | 'log' | 'help' | 'far';
  /**
   * Whether the board shows a demonstration's stage, as it was chosen before, on or after the air; that holds until this changes. By
   * default it is shown on air.
   */
  readonly stage?: { readonly phase: StageStanding['phase']; readonly isShown: boolean };
  /** The component chosen by its number, counted from 0, for the next thing that is done. */
  readonly selected?: number;
  readonly prompt?: Prompt & { readonly askedAt: number };
  /** One line that goes by itself: what a press did, or why it did nothing. */
  readonly note?: { readonly text: string; readonly bad: boolean; readonly until: number };
  /** To be told to somebody who comes back; gone with the next key. */
  readonly absence?: Absence;
  /** The last key that came, for presses that bounce. */
  readonly last?: { readonly key: string; readonly at: number };
  /** Keys of calls and alarms whose answer is on its way. */
  readonly sent: readonly string[];
}

/** What the board waits for after a first press. */
export type Prompt =
  /** What is dated back was chosen with the first press: a call by its key, or the end of a step. */
  | {
      readonly kind: 'back';
      readonly name: string;
      readonly about: { readonly call: string } | { readonly step: StepId };
    }
  | { readonly kind: 'more'; readonly step: StepId; readonly name: string }
  | { readonly kind: 'skip'; readonly step: StepId; readonly name: string }
  | { readonly kind: 'lost'; readonly component: number; readonly name: string }
  /** On stage: how long ago the next showing began. */
  | { readonly kind: 'stage back'; readonly step: StepId; readonly name: string }
  /** A copy of a demonstration is spoilt: which. */
  | { readonly kind: 'spoilt'; readonly swaps: readonly string[] }
  | { readonly kind: 'timer' }
  | { readonly kind: 'timer length'; readonly text: string }
  | { readonly kind: 'probe'; readonly probes: readonly string[] }
  | {
      readonly kind: 'reading';
      readonly probe: string;
      readonly text: string;
      readonly scale: 'C' | 'F';
      /** Whether there are other probes to choose instead. */
      readonly others: boolean;
    }
  /** The new timetable in sight, by its name: a press is for the one that was seen. */
  | { readonly kind: 'offer'; readonly id: string; readonly ways: number }
  /** An alarm is to be set aside: for how long, and why. */
  | {
      readonly kind: 'aside';
      readonly key: string;
      readonly alarm: AlarmKind;
      readonly priority: Priority;
      readonly name: string;
    }
  /** How long nothing shall sound; `left`: how long it is quiet already, in words, or empty. */
  | { readonly kind: 'quiet'; readonly left: string }
  | { readonly kind: 'door'; readonly ovens: readonly string[] }
  /** Several plans are still to be served: whose guests come earlier or later. */
  | { readonly kind: 'whose guests'; readonly plans: readonly number[]; readonly names: readonly string[] }
  /** The guests come earlier or later. Nothing is moved before what it would mean has been in sight. */
  | {
      readonly kind: 'guests';
      /** The plans that are moved, by their place. */
      readonly plans: readonly number[];
      readonly way: 'earlier' | 'later';
      /** By so many minutes, where that was said. */
      readonly count?: number;
      /** What is typed instead. */
      readonly typed?: string;
      /** What would be moved, once that is known; and what the planner says of it, once it does. */
      readonly moves?: readonly ServiceMove[];
      readonly answer?: MoveAnswer;
    }
  /** What is to go wrong in a rehearsal. */
  | { readonly kind: 'mishap'; readonly choices: readonly Mishap[] }
  | { readonly kind: 'quit' | 'quit rehearsal' };

export const FRESH: Ui = { page: 'board', sent: [] };

/** A prompt nobody answers goes away after this, and so does a chosen component nothing is done with, in ms. */
export const PROMPT_LASTS = 20_000;
/** A page of choices takes longer to read. */
const PAGES: ReadonlySet<Prompt['kind']> = new Set(['offer', 'aside', 'mishap', 'guests']);
const PAGE_LASTS = 60_000;
/** How long a note stands, in ms. */
const NOTE_LASTS = 6_000;

/** What a prompt says it waits for. */
export function promptWords(prompt: Prompt): string {
  const choices = (names: readonly string[]): string =>
    names.map((name, index) => `${index + 1} ${name}`).join('   ');
  switch (prompt.kind) {
    case 'back':
      return `how many minutes ago?  1-9 (0 is 10)   Esc no   ${prompt.name}`;
    case 'more':
      return `${prompt.name}: how many more minutes?  1-9 (0 is 10)   Esc no`;
    case 'skip':
      return `leave out ${prompt.name}?  space yes   Esc no`;
    case 'lost':
      return `${prompt.name} is lost, to be made again?  space yes   Esc no`;
    case 'stage back':
      return `${prompt.name}: how long ago?  1 10 s  2 20 s  to  9 90 s   Esc no`;
    case 'spoilt':
      return `which swap is spoilt?  ${choices(prompt.swaps.map((id) => `swap ${id}`))}   Esc none`;
    case 'timer':
      return 'timer of how many minutes?  1-9 (0 is 10)   t other   Esc no';
    case 'timer length':
      return `timer of ${prompt.text}_ minutes   Enter starts it   Esc no`;
    case 'probe':
      return `which probe?  ${choices(prompt.probes)}   Esc no`;
    case 'reading':
      return `${prompt.probe}: ${prompt.text}_ ${prompt.scale}   f or c to change${prompt.others ? '   r other probe' : ''}   Enter   Esc no`;
    case 'door':
      return `which oven?  ${choices(prompt.ovens)}   Esc no`;
    case 'offer':
      return prompt.ways > 1
        ? `1-${prompt.ways} takes that way (space: 1)   k keeps the old timetable   Esc later`
        : 'space takes it   k keeps the old one   Esc later';
    case 'aside':
      return `set ${prompt.name} aside: a figure from the list   Esc no`;
    case 'quiet':
      return prompt.left === ''
        ? 'quiet for?  1 10 min  3 30 min  6 1 h   sounds: h high m medium l low   Esc no'
        : `quiet for ${prompt.left} more   0 sound again   1 10 min  3 30 min  6 1 h   Esc no`;
    case 'whose guests':
      return `whose guests?  ${choices(prompt.names)}   0 all   Esc no`;
    case 'guests':
      return guestsWords(prompt);
    case 'mishap':
      return `what goes wrong: a figure from the list   Esc nothing`;
    case 'quit rehearsal':
      return 'leave the rehearsal: Enter   stay: Esc';
    case 'quit':
      return 'leave the run going: Enter   end the run: e   stay: Esc';
  }
}

function guestsWords({ way, typed, moves, answer }: Extract<Prompt, { kind: 'guests' }>): string {
  if (typed !== undefined) return `guests ${way}: ${typed}_   minutes, or a time like 19:45   Enter   Esc no`;
  const other = way === 'later' ? 'e earlier' : 'l later';
  if (!moves) return `guests ${way} by?  1-9 min (0 is 10)   ${other}   t other   Esc no`;
  return answer?.kind === 'proposal'
    ? 'space yes, with the new timetable   k yes, with the old one   Esc no'
    : 'space yes, move it   Esc no';
}

/** Without prompts, notes and a choice whose time is over, as the clock of the board stands at `at`. */
export function settle(ui: Ui, at: number): Ui {
  const isPage = ui.prompt !== undefined && PAGES.has(ui.prompt.kind);
  const lasts = isPage ? PAGE_LASTS : PROMPT_LASTS;
  const promptOver = ui.prompt !== undefined && at - ui.prompt.askedAt >= lasts;
  const noteOver = ui.note !== undefined && at >= ui.note.until;
  const choiceOver = ui.selected !== undefined && ui.last !== undefined && at - ui.last.at >= PROMPT_LASTS;
  if (!promptOver && !noteOver && !choiceOver) return ui;
  const { prompt, note, selected, ...rest } = ui;
  return {
    ...rest,
    ...(selected === undefined || choiceOver ? {} : { selected }),
    ...(prompt && !promptOver ? { prompt } : {}),
    ...(note && !noteOver ? { note } : {}),
  };
}

/** With a line that stands for a while. */
export const noted = (ui: Ui, text: string, at: number, bad = false): Ui => ({
  ...ui,
  note: { text, bad, until: at + NOTE_LASTS },
});

/** What a note ends with where the press can be taken back: it keeps its place at the end of the row. */
export const TAKE_BACK = '   u takes it back';

/** Without the prompt. */
export function unprompted(ui: Ui): Ui {
  const { prompt: _, ...rest } = ui;
  return rest;
}

/** How the link to the keeper stands, as a board tells it. */
export interface LinkState {
  readonly trouble?: string;
  readonly ended?: string;
}

/** What a screen needs beside the view: the board's own state and the moment. */
export interface ScreenContext {
  readonly ui: Ui;
  readonly link: LinkState;
  /** True on every other second: what nobody has heard alternates. */
  readonly beat: boolean;
  readonly now: EpochMs;
  /** Only where the run is a rehearsal. */
  readonly playing?: Playing;
  /** What moving service would mean, while that is asked. */
  readonly movedService?: MovedServiceView;
}
