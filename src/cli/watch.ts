import type { RunSetup } from '../bench/index.ts';
import { createRun, openRun, type Journal } from '../journal/index.ts';
import { momentOf, type SimulatedClock } from '../keeper/index.ts';
import type { Hands } from '../rehearsal/index.ts';
import { servedWords } from '../view/index.ts';
import { EXIT, Stop } from './exit.ts';
import { fitted, type Out } from './out.ts';
import { missedJson, missedLines } from './missed-words.ts';
import { playRehearsal, type Play } from './play.ts';
import { showRun, stopFor, storeOf, type StoreOptions } from './run.ts';

export interface WatchOptions extends StoreOptions {
  /** `mine`: the cook is at the keyboard. */
  readonly hands?: string;
  readonly speed?: string;
  readonly plain?: boolean;
  readonly json?: boolean;
}

/** One rehearsal on the board, or in plain lines, until it is served or somebody leaves it. */
export async function watch(setup: RunSetup, seed: number, options: WatchOptions, out: Out): Promise<void> {
  const hands = handsOf(options.hands ?? 'simulated');
  const rehearsed: RunSetup = { ...setup, rehearsal: { seed } };
  const play = playRehearsal({
    setup: rehearsed,
    seed,
    hands,
    speed: speedOf(options.speed ?? (hands === 'mine' ? '1' : '60')),
    ...(options.store === undefined ? {} : { kept: (clock) => storedJournal(rehearsed, options, clock) }),
  });
  const { plain = false, json = false } = options;
  if (plain && !json) out.print(`rehearsal, seed ${seed}`);
  // For a program standard output holds nothing but the answer.
  const lines = json && (plain || !process.stdout.isTTY) ? process.stderr : process.stdout;
  const end = await showRun(play.link, plain, { rehearsing: play.rehearsing, lines });
  await play.stop();
  const { state } = play.link;
  const stuck = play.stuck();
  if (state.servedAt === undefined && (end.kind === 'failed' || stuck !== undefined))
    throw new Stop(EXIT.problem, `the rehearsal came to no end (seed ${seed})`, [
      stuck ?? 'its keeper failed',
    ]);
  if (json) out.json(missedJson(state, play.missed(), play.thrown(), seed));
  else out.print(fitted(afterwards(play, seed, plain)));
}

/** How it ended, and what was missed. */
function afterwards(play: Play, seed: number, plain: boolean): string {
  const { state } = play.link;
  const end = state.servedAt === undefined ? 'left before service' : (servedWords(state) ?? 'served');
  return [
    // Plain lines have said themselves what was served.
    `rehearsal${plain && state.servedAt !== undefined ? ' over' : `: ${end}`} (seed ${seed})`,
    ...missedLines(state, play.missed(), play.thrown()),
  ].join('\n');
}

function handsOf(text: string): Hands {
  if (text === 'mine' || text === 'simulated') return text;
  throw new Stop(EXIT.usage, `--hands wants mine or simulated, not "${text}"`, [
    'mine: you do what is called, and nothing is cooked',
  ]);
}

function speedOf(text: string): number {
  const speed = Number(text);
  if (speed > 0 && speed <= 1_000_000) return speed;
  throw new Stop(EXIT.usage, `--speed wants a number above 0, not "${text}"`, ['60 is a minute a second']);
}

function storedJournal(setup: RunSetup, options: StoreOptions, clock: SimulatedClock): Journal {
  const store = storeOf(options);
  const now = momentOf(clock);
  const created = createRun(store, setup, now);
  if (!created.ok) throw new Stop(EXIT.problem, created.problem.what, [created.problem.hint]);
  const opened = openRun(store, setup.run, { purpose: 'keep', now });
  if (!opened.journal) throw stopFor(opened);
  return opened.journal;
}
