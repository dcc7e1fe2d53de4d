import type { ComponentId } from '../plan/index.ts';
import { cells, cut, type AlarmView, type BoardView, type LaneView, type TimerView } from '../view/index.ts';
import type { Rows } from './share-rows.ts';

/*
 * A board has as many rows as its terminal. Which components, alarms and timers have one of their own, and what of the next
 * ten minutes has none.
 */

/** Lanes in the order in which they are wanted; those that are done last. */
export const bySoonest = (lanes: readonly LaneView[]): readonly LaneView[] =>
  lanes.toSorted((a, b) => (a.at ?? Infinity) - (b.at ?? Infinity) || 0);

/** The components that have a row of their own where there are so many rows: where not all have, one row tells of the rest. */
export function keptLanes(
  { lanes }: BoardView,
  selected: number | undefined,
  rows: number,
): ReadonlySet<ComponentId> {
  if (lanes.length <= rows) return new Set(lanes.map(({ component }) => component));
  const chosen = selected === undefined ? [] : lanes.slice(selected, selected + 1);
  const ranked = [...chosen, ...bySoonest(lanes.filter((lane) => !chosen.includes(lane)))];
  return new Set(ranked.slice(0, Math.max(0, rows - 1)).map(({ component }) => component));
}

/** How many alarms so many rows tell: one in a single row, else two rows for each. */
export const shownAlarms = (rows: number): number => (rows <= 1 ? rows : Math.floor(rows / 2));

/** The quick timers that fit in their one row. */
export function shownTimers({ timers }: BoardView, width: number): readonly TimerView[] {
  let left = width - 2;
  return timers.filter(({ name, figures, over }) => {
    left -= cells(`${name} ${figures}${over ? ' over' : ''}   `);
    return left >= 0;
  });
}

/** What is asked of the rows as they were handed out. */
interface Asked {
  /** What NOW says, in one line. */
  readonly told: string;
  readonly selected: number | undefined;
  readonly width: number;
}

/** No name is so long that another one gets no place. */
const LONGEST = 34;

/** What is wanted within ten minutes and is in none of the rows, in few words each, the most urgent first. */
export function hiddenSoon(
  view: BoardView,
  alarms: readonly AlarmView[],
  share: Rows,
  { told, selected, width }: Asked,
): readonly string[] {
  const kept = keptLanes(view, selected, share.lanes);
  const timers = share.timers > 0 ? shownTimers(view, width) : [];
  const calls = view.now.others
    .filter(({ text, component }) => component === undefined && !told.includes(text))
    .map(({ text }) => cut(text, LONGEST));
  const lanes = bySoonest(view.lanes)
    .filter(({ soon, component }) => soon && !kept.has(component) && component !== view.now.component)
    .map(({ mark, name, lead, figures }) => words(mark, cut(name, LONGEST), lead, figures));
  const wrong = alarms
    .slice(shownAlarms(share.alarms))
    .filter(({ soon }) => soon)
    .map(({ mark, kind, who, left = '' }) => words(mark, kind, cut(who, LONGEST), left));
  const quick = view.timers
    // One that is over is called.
    .filter((timer) => timer.soon && !timer.over && !timers.includes(timer))
    .map(({ name, figures }) => words(cut(name, LONGEST), figures));
  const next = view.next
    .slice(share.next)
    .filter(({ soon, component }) => soon && component === undefined)
    .map(({ who, what, wait }) => words(cut(words(`${who}:`, what), LONGEST), wait));
  const locks =
    share.ovens === 'none'
      ? view.ovens.flatMap(({ name, lock }) => (lock ? [words(name, 'keep shut', lock.left)] : []))
      : [];
  return [...calls, ...lanes, ...wrong, ...quick, ...next, ...locks];
}

const words = (...parts: readonly string[]): string => parts.filter((part) => part !== '').join(' ');
