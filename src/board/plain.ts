import { createInterface } from 'node:readline';
import type { Readable, Writable } from 'node:stream';
import type { BenchState } from '../bench/index.ts';
import type { LinkChange, RunLink } from '../keeper/index.ts';
import type { EpochMs } from '../units/index.ts';
import {
  boardView,
  clean,
  plainLines,
  servedWords,
  statusLines,
  type BoardView,
  type BoardViewOptions,
  type Look,
} from '../view/index.ts';
import { takenFor } from './choices.ts';
import type { Rehearsing } from './rehearsing.ts';
import { boardEnd, endWords, type BoardEnd } from './session.ts';
import type { Asked } from './asked.ts';
import { WORDS_HELP, wordsAsk } from './words.ts';

/** Where lines come from and go to; no terminal is needed. */
export interface PlainIo {
  readonly stdin: Readable;
  readonly stdout: Writable;
  readonly stderr?: Writable;
  readonly env?: Readonly<Record<string, string | undefined>>;
  /** Where the run is a rehearsal: how it plays, and what it can be asked. */
  readonly rehearsing?: Rehearsing;
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
  let looked: Look | undefined;
  let asksStop = false;
  const write = (line: string): void => void (io.stdout.writable && io.stdout.write(`${line}\n`));
  const look = (): void => {
    const now: Look = { state: link.state, now: link.clock() };
    const lines = plainLines(looked, now);
    looked = now;
    lines.forEach(write);
  };
  const status = (): Look => {
    const now: Look = { state: link.state, now: link.clock() };
    const view = (io.look ?? boardView)(now.state, now.now, { axisWidth: 40 });
    statusLines(now, view).forEach(write);
    return now;
  };
  const carryOut = (asked: Asked): void => {
    const stops = asked.kind === 'stop' && asksStop;
    asksStop = asked.kind === 'stop';
    switch (asked.kind) {
      case 'nothing':
        return undefined;
      case 'say':
        return write(asked.text);
      case 'status':
        status();
        return undefined;
      case 'help':
        return WORDS_HELP.forEach(write);
      case 'quit':
        write('the run goes on; "thirdhand resume" follows it again');
        return resolve({ kind: 'left' });
      case 'stop':
        if (!stops) return write('this ends the run for every screen; type stop once more to do it');
        void link.stopRun().then(() => resolve({ kind: 'stopped' }));
        return undefined;
      case 'send':
        void pressAll(link, asked).then(write);
        return undefined;
    }
  };
  const unsubscribe = link.subscribe((change) => {
    if (change.kind === 'event') look();
    else if (change.kind === 'rewound') looked = status();
    else if (change.kind === 'ended') {
      look();
      write(servedWords(link.state) ?? endWords(change.reason, change.detail));
      resolve(boardEnd(change.reason, change.detail));
    } else {
      const words = troubleWords(change);
      if (words !== undefined) write(words);
    }
  });
  const words = createInterface({ input: io.stdin, crlfDelay: Infinity });
  words.on('line', (line) => carryOut(wordsAsk(line.slice(0, LONGEST_LINE), link.state, link.clock())));
  // Whoever read the lines is gone: there is nothing left to follow for, and the run goes on.
  const gone = (): void => resolve({ kind: 'left' });
  io.stdout.on('error', gone);
  const timer = setInterval(look, 1000);
  looked = status();
  return promise.finally(() => {
    clearInterval(timer);
    unsubscribe();
    io.stdout.off('error', gone);
    words.close();
  });
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
