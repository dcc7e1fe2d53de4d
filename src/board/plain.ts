import { createInterface } from 'node:readline';
import type { Readable, Writable } from 'node:stream';
import type { BenchState, ServiceMove } from '../bench/index.ts';
import type { LinkChange, Replanner, RunLink } from '../keeper/index.ts';
import type { Workload } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';
import {
  boardView,
  clean,
  endedView,
  endedWords,
  movedServiceView,
  plainLines,
  servedWords,
  statusLines,
  type BoardView,
  type BoardViewOptions,
  type Look,
  type MoveAnswer,
} from '../view/index.ts';
import { takenFor } from './choices.ts';
import { serviceMoved } from './guests-keys.ts';
import { movedServiceLines } from './guests-words.ts';
import { playingWords, rehearsalAsk, REHEARSAL_WORDS_HELP, sightWords } from './rehearsal-words.ts';
import type { Rehearsing } from './rehearsing.ts';
import { boardEnd, endWords, type BoardEnd } from './session.ts';
import type { Asked } from './asked.ts';
import { openSupposing, ownReplanner, type Supposing } from './supposing.ts';
import { WORDS_HELP, wordsAsk } from './words.ts';

/** Where lines come from and go to; no terminal is needed. */
export interface PlainIo {
  readonly stdin: Readable;
  readonly stdout: Writable;
  readonly stderr?: Writable;
  readonly env?: Readonly<Record<string, string | undefined>>;
  /** Where the run is a rehearsal: how it plays, and what it can be asked. */
  readonly rehearsing?: Rehearsing;
  /** Who works out what moving service would mean; a thread of its own by default. */
  readonly replanner?: (workload: Workload) => Replanner;
  /** How a state is looked at; the view's own by default. */
  readonly look?: (state: BenchState, now: EpochMs, options: BoardViewOptions) => BoardView;
}

/** A line of words longer than this is none a person typed. */
const LONGEST_LINE = 400;

/**
 * Follows the run in lines: one for each call, alarm and event, nothing drawn over anything. Answers are words on stdin;
 * its end ends nothing. Resolves when the keeper ends, or somebody says `quit` or `stop`.
 */
export function runPlain(link: RunLink, io: PlainIo): Promise<BoardEnd> {
  const { promise, resolve } = Promise.withResolvers<BoardEnd>();
  const { rehearsing } = io;
  let lines = 0;
  const write = (line: string): void => {
    lines += 1;
    // A line that is read by itself, in a log or on a second screen, is never taken for one of a live run.
    if (io.stdout.writable) io.stdout.write(`${rehearsing ? 'rehearsal ' : ''}${line}\n`);
  };
  const { look, see, status, begin } = lookout(link, io, write);
  const supposing = openSupposing(() => (io.replanner ?? ownReplanner)(link.state.setup.workload));
  const carryOut = carrier(
    link,
    { write, status, end: resolve, rehearses: rehearsing !== undefined },
    supposing,
  );
  const unsubscribe = link.subscribe((change) => {
    if (change.kind === 'event') look();
    else if (change.kind === 'rewound') begin();
    else if (change.kind === 'beat') see();
    else if (change.kind === 'ended') {
      look();
      write(servedWords(link.state) ?? endWords(change.reason, change.detail, link.state));
      // What a rehearsal teaches is told when it is left.
      if (change.reason === 'served' && !rehearsing && !link.state.setup.rundown)
        endedWords(endedView(link.state)).forEach(write);
      resolve(boardEnd(change.reason, change.detail));
    } else {
      const words = troubleWords(change);
      if (words !== undefined) write(words);
    }
  });
  const words = createInterface({ input: io.stdin, crlfDelay: Infinity });
  words.on('line', (line) => {
    const text = line.slice(0, LONGEST_LINE);
    const before = lines;
    const said = rehearsing && rehearsalAsk(text, rehearsing);
    if (said) {
      said.forEach(write);
      if (lines === before) status();
    } else carryOut(wordsAsk(text, link.state, link.clock()));
  });
  // Whoever read the lines is gone: there is nothing left to follow for, and the run goes on.
  const gone = (): void => resolve({ kind: 'left' });
  io.stdout.on('error', gone);
  const timer = setInterval(look, 1000);
  begin();
  return promise.finally(() => {
    clearInterval(timer);
    supposing.close();
    unsubscribe();
    io.stdout.off('error', gone);
    words.close();
  });
}

/** Carries out what the lines of words ask for. */
function carrier(
  link: RunLink,
  {
    write,
    status,
    end,
    rehearses,
  }: {
    readonly write: (line: string) => void;
    readonly status: () => void;
    readonly end: (end: BoardEnd) => void;
    readonly rehearses: boolean;
  },
  supposing: Supposing,
): (asked: Asked) => void {
  let asksStop = false;
  const moving = serviceMoving(link, supposing, write);
  return (asked) => {
    const stops = asked.kind === 'stop' && asksStop;
    asksStop = asked.kind === 'stop';
    switch (asked.kind) {
      case 'nothing':
        return undefined;
      case 'say':
        return write(asked.text);
      case 'status':
        return status();
      case 'help':
        return [...WORDS_HELP, ...(rehearses ? REHEARSAL_WORDS_HELP : [])].forEach(write);
      case 'quit':
        if (!rehearses) write('the run goes on; "thirdhand resume" follows it again');
        return end({ kind: 'left' });
      case 'stop':
        if (!stops) return write('this ends the run for every screen; type stop once more to do it');
        void link.stopRun().then(() => end({ kind: 'stopped' }));
        return undefined;
      case 'suppose':
        return moving.suppose(asked.moves);
      case 'move service':
        return moving.move(asked.withTimetable);
      case 'send':
        void pressAll(link, asked).then(write);
        return undefined;
    }
  };
}

/** What is written down of the run as it is looked at: each thing once. */
function lookout(
  link: RunLink,
  { rehearsing, look: viewed = boardView }: Pick<PlainIo, 'rehearsing' | 'look'>,
  write: (line: string) => void,
): {
  readonly look: () => void;
  readonly see: () => void;
  readonly status: () => Look;
  /** Says how it stands, and goes on from there. */ readonly begin: () => void;
} {
  let looked: Look | undefined;
  let seen: readonly string[] = [];
  // What there is to be seen for whoever has hands of their own in a rehearsal.
  const see = (): void => {
    const sees = rehearsing?.playing().sees ?? [];
    sees.filter((sight) => !seen.includes(sight)).forEach((sight) => write(sightWords(sight)));
    seen = sees;
  };
  const look = (): void => {
    const now: Look = { state: link.state, now: link.clock() };
    const lines = plainLines(looked, now);
    looked = now;
    lines.forEach(write);
    see();
  };
  const status = (): Look => {
    const now: Look = { state: link.state, now: link.clock() };
    if (rehearsing) write(playingWords(rehearsing.playing()));
    statusLines(now, viewed(now.state, now.now, { axisWidth: 40 })).forEach(write);
    seen = [];
    see();
    return now;
  };
  return { look, see, status, begin: () => void (looked = status()) };
}

/** Moving service in two steps: what it would mean is written down first, and only what was is then moved. */
function serviceMoving(
  link: RunLink,
  supposing: Supposing,
  write: (line: string) => void,
): {
  readonly suppose: (moves: readonly ServiceMove[]) => void;
  readonly move: (withTimetable: boolean) => void;
} {
  let meant: { readonly moves: readonly ServiceMove[]; readonly answer: MoveAnswer } | undefined;
  return {
    suppose(moves) {
      meant = undefined;
      void supposing.ask(link.state, link.clock(), moves).then((answer) => {
        meant = { moves, answer };
        movedServiceLines(movedServiceView(link.state, link.clock(), moves, answer)).forEach(write);
      });
    },
    move(withTimetable) {
      const happening = meant && serviceMoved(meant.moves, withTimetable ? meant.answer : undefined);
      if (!happening) return write('say first when they come: guests 10, guests 10 earlier, guests 19:45');
      meant = undefined;
      void pressAll(link, { kind: 'send', happenings: [happening], said: 'service is moved' }).then(write);
      return undefined;
    },
  };
}

async function pressAll(link: RunLink, asked: Extract<Asked, { kind: 'send' }>): Promise<string> {
  for (const happening of asked.happenings) {
    const pressed = await link.press(happening);
    if (!pressed.ok) return `not done: ${clean(pressed.why)}`;
  }
  return `${asked.happenings.map((happening) => takenFor(link.state, happening)).join('')}${asked.said}`;
}

function troubleWords(change: LinkChange): string | undefined {
  switch (change.kind) {
    case 'event':
    case 'beat':
    case 'ended':
    case 'rewound':
      return undefined;
    case 'lost':
      return "the run's keeper is not answering: times go on from what is known";
    case 'back':
      return "the run's keeper answers again";
    case 'trouble':
      return `nothing can be written down: ${clean(change.detail)}`;
    case 'trouble over':
      return 'things are written down again';
  }
}
