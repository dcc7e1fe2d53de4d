import type { BenchState } from '../bench/index.ts';
import type { EpochMs } from '../units/index.ts';
import { clean, type MovedServiceView } from '../view/index.ts';
import { say, type Asked } from './asked.ts';
import { movedAs, plansToServe, serviceCalled } from './guests.ts';

const USAGE = 'guests 10 (later), guests 10 earlier, guests 19:45; then guests yes';

/**
 * `guests 10 later`, `guests 10 earlier`, `guests 19:45`, and of several plans which one or `all`: what it would mean is told;
 * `guests yes` then moves service, with the new timetable if there is one, `guests keep` with the old one.
 */
export function guestsWord(state: BenchState, words: readonly string[], now: EpochMs): Asked {
  if (state.setup.rundown) return say('a demonstration is shown when you begin it');
  const [first = '', ...rest] = words.filter((word) => word !== 'later' && word !== 'at' && word !== 'min');
  if (first === 'yes' || first === 'keep') return { kind: 'move service', withTimetable: first === 'yes' };
  const way = rest.includes('earlier') ? 'earlier' : 'later';
  const named = rest.filter((word) => word !== 'earlier').join(' ');
  const plans = plansMeant(state, named);
  if (typeof plans === 'string') return say(`${plans} ${toServe(state, now)}, all`);
  if (plans.length === 0) return say('everything has been served');
  const moves = movedAs(state, plans, way, first, now);
  return moves ? { kind: 'suppose', moves } : say(USAGE);
}

const toServe = (state: BenchState, now: EpochMs): string =>
  plansToServe(state)
    .map((plan) => serviceCalled(state, plan, now))
    .join(', ');

/** The plans that are meant, or the question which. */
function plansMeant(state: BenchState, named: string): readonly number[] | string {
  const waiting = plansToServe(state);
  if (waiting.length < 2 || named === 'all') return waiting;
  const { plans } = state.setup.workload;
  const fitting = waiting.filter(
    (plan) =>
      named !== '' &&
      clean(plans[plan]?.title ?? '')
        .toLowerCase()
        .startsWith(named),
  );
  return fitting.length === 1 ? fitting : 'whose guests?';
}

/** More lines than this of what moves nobody reads. */
const MOST = 8;

/** What it would mean, in lines; and the words that then move service. */
export const movedServiceLines = ({
  moves,
  headline,
  lines,
  hasTimetable,
}: MovedServiceView): readonly string[] => [
  ...moves.map((text) => `if so: ${text}`),
  headline,
  ...lines.slice(0, MOST).map(({ kind, text }) => `  ${kind === 'broken' ? '! ' : ''}${text}`),
  ...(lines.length > MOST ? [`  and ${lines.length - MOST} more`] : []),
  hasTimetable
    ? '  "guests yes" moves service, with that timetable; "guests keep" with the old one'
    : '  "guests yes" moves service',
];
