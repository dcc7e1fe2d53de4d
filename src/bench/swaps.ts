import type { StepId } from '../plan/index.ts';
import type { Showing, Swap } from '../planner/index.ts';
import { plus, secondsBetween, type EpochMs } from '../units/index.ts';
import { acted, refused, type Acted } from './acted.ts';
import type { BenchEvent, StageSetup } from './events.ts';
import { lookup, must, planned, runsOf } from './lookup.ts';
import type { BenchState } from './state.ts';
import { toComponent } from './to-component.ts';

type Run = Pick<BenchState, 'setup' | 'components' | 'spoilt'>;

const isOpen = (state: Pick<BenchState, 'components'>, step: StepId): boolean =>
  !('endedAt' in must(runsOf(state), step));

/** How many copies of a swap are left. */
export const copiesLeft = ({ spoilt }: Pick<BenchState, 'spoilt'>, { id, copies }: Swap): number =>
  Math.max(0, copies - (spoilt?.[id] ?? 0));

/** The steps of the components that make a swap; of its own also what is shown of it. */
const stepsOf = ({ setup }: Run, { made }: Swap): readonly StepId[] =>
  made.flatMap((id) => must(lookup(setup.workload).components, id).steps.map((step) => step.id));

/** The work ahead for a swap itself, without what it is made of: up to what takes it. */
function workAhead({ setup }: Run, { made, for: taker }: Swap): readonly StepId[] {
  const own = made[0] === undefined ? undefined : lookup(setup.workload).components.get(made[0]);
  const steps = own?.steps.map(({ id }) => id) ?? [];
  const end = steps.indexOf(taker);
  return end < 0 ? steps : steps.slice(0, end);
}

/** The last of the work ahead for a swap, which lasts until it is taken or is over before. */
export const lastAhead = (state: Run, swap: Swap): StepId | undefined => workAhead(state, swap).at(-1);

/** From when until when a swap is right, made when it was truly made, or as the timetable has it now. */
export function windowOf(state: BenchState, swap: Swap): Pick<Swap, 'usableFrom' | 'useBy'> {
  const last = lastAhead(state, swap);
  if (last === undefined) return swap;
  const { setup, timetable } = state;
  const run = must(runsOf(state), last);
  // A rest is reckoned from its beginning, everything else from its end.
  const isRest = must(lookup(setup.workload).placed, last).step.length.kind === 'rest';
  const momentIn = ({ start, end }: { readonly start: EpochMs; readonly end: EpochMs }): EpochMs =>
    isRest ? start : end;
  const told = momentIn(must(planned(timetable).steps, last));
  const truly =
    isRest && 'startedAt' in run ? run.startedAt : !isRest && 'endedAt' in run ? run.endedAt : told;
  const shift = secondsBetween(momentIn(must(planned(setup.timetable).steps, last)), truly);
  return {
    usableFrom: plus(swap.usableFrom, shift),
    ...(swap.useBy === undefined ? {} : { useBy: plus(swap.useBy, shift) }),
  };
}

const NONE: ReadonlySet<StepId> = new Set();
const known = new WeakMap<NonNullable<BenchState['spoilt']>, ReadonlySet<StepId>>();

/** The steps that cannot be done any more, or that nobody wants, because the last copy of a swap is spoilt; ended ones too. */
export function leftOut(state: Run): ReadonlySet<StepId> {
  const { rundown } = state.setup;
  if (!state.spoilt || !rundown) return NONE;
  const found = known.get(state.spoilt) ?? findLeftOut(state, rundown);
  known.set(state.spoilt, found);
  return found;
}

function findLeftOut(state: Run, { showings, swaps }: StageSetup): ReadonlySet<StepId> {
  const lost = new Set(swaps.filter((swap) => copiesLeft(state, swap) === 0).map(({ id }) => id));
  const gone = new Set<StepId>();
  const shown = new Set(showings.map(({ step }) => step));
  const steps = [...lookup(state.setup.workload).placed.values()].map(({ step }) => step);
  const cannotBeShown = ({ from, brings }: Showing): boolean =>
    (from.kind === 'swap' && from.swaps.every((id) => lost.has(id))) ||
    brings.some((brought) => (brought.kind === 'swap' ? lost.has(brought.swap) : gone.has(brought.step)));
  for (let size = -1; size < gone.size;) {
    size = gone.size;
    // What nobody takes any more need not be made, or stand in the cold.
    for (const swap of swaps)
      if (lost.has(swap.id) || gone.has(swap.for)) for (const step of stepsOf(state, swap)) gone.add(step);
    for (const { id, use, for: taker } of swaps) if (use === 'needed' && lost.has(id)) gone.add(taker);
    for (const showing of showings) if (cannotBeShown(showing)) gone.add(showing.step);
    // A showing needs the one before it only to come after it; what happens off view needs what it names.
    for (const { id, needs } of steps)
      if (!shown.has(id) && needs.some((need) => gone.has(need))) gone.add(id);
  }
  return gone;
}

/** Leaves out what is to be left out, as far as its turn has come. */
export function leaveOut(state: BenchState, now: EpochMs): BenchState {
  const gone = leftOut(state);
  if (gone.size === 0) return state;
  const { placed } = lookup(state.setup.workload);
  let next = state;
  for (const { component, steps } of state.components) {
    for (const { step } of steps) {
      const current = next.components
        .find((run) => run.component === component)
        ?.steps.find((run) => !('endedAt' in run));
      if (current?.step === step && gone.has(step))
        next = toComponent(next, must(placed, step), { type: 'SKIP', at: now }, now);
    }
  }
  return next;
}

/**
 * A copy is spoilt. Its backup is taken, or, where there is none, all that cannot be shown without it is left out. Once a copy
 * has been shown a backup is of no use: it is as the other was before.
 */
export function spoil(state: BenchState, { swap: id, time }: Extract<BenchEvent, { kind: 'spoilt' }>): Acted {
  const { rundown } = state.setup;
  if (!rundown) return refused('only a demonstration has swaps');
  const swap = rundown.swaps.find((each) => each.id === id);
  if (!swap) return refused(`there is no swap ${id}`);
  if (copiesLeft(state, swap) === 0) return refused(`no copy of swap ${id} is left`);
  const isShown = !isOpen(state, swap.for);
  if (isShown && !stepsOf(state, swap).some((step) => isOpen(state, step)))
    return refused(`swap ${id} has been shown: nothing more is done with it`);
  const before = leftOut(state);
  const count = isShown ? swap.copies : (state.spoilt?.[id] ?? 0) + 1;
  const next: BenchState = { ...state, spoilt: { ...state.spoilt, [id]: count } };
  const gone = leftOut(next);
  const names = rundown.showings
    .filter(({ step }) => gone.has(step) && !before.has(step) && isOpen(state, step))
    .map(({ action }) => action);
  const means =
    copiesLeft(next, swap) > 0
      ? 'the backup is taken'
      : names.length > 0
        ? `left out: ${names.join('; ')}`
        : 'nothing is left out for it';
  const line = { at: time, kind: 'note', text: `swap ${id} spoilt: ${means}` } as const;
  return acted({ ...next, log: [...next.log, line] });
}
