import type { Component, ComponentId, StepId, Workload } from '../plan/index.ts';
import { roughly, seconds, type EpochMs } from '../units/index.ts';
import type { Problem } from './core/index.ts';
import { runs } from './extract-ovens.ts';
import type { Extraction } from './extract.ts';
import type { Progress } from './progress.ts';
import type { OtherWay, Proposal } from './replan.ts';
import type { Yielding } from './so-far.ts';
import type { PlannedStep } from './timetable.ts';

/** Asks for something more of a problem. */
export type Steer = (problem: Problem, extraction: Extraction) => Problem;

/** Another way that may be tried. */
export interface Turn {
  readonly what: string;
  readonly steer?: Steer;
  readonly attempt: Yielding;
  /** How much later than told service is, s. */
  readonly later: number;
}

/** What must be pressed for time is not helped by a list: so many are tried, and so many kept. */
const MOST_TRIED = 7;
const MOST_KEPT = 2;
/** Steps that move by less than this have not moved. */
const SAME_MS = 60_000;
const LATER_S = 600;

const HOLDING: Yielding = { windows: 'hold', service: 'hold' };

/**
 * Other ways out than the first, that differ in kind: two loads the other way round in an oven, a load in another oven,
 * service a little later, or service kept and a window stretched. Each is solved and verified like the first; those that
 * come to nothing new are left out, and what costs least comes first: broken windows, then service, then what moves.
 */
export function otherWays(
  workload: Workload,
  progress: Progress,
  first: Proposal,
  solved: (turn: Turn) => Proposal | undefined,
): readonly OtherWay[] {
  const found: OtherWay[] = [];
  for (const turn of turns(workload, progress, first).slice(0, MOST_TRIED)) {
    const proposal = solved(turn);
    if (!proposal || [first, ...found].some((other) => isSame(other, proposal))) continue;
    const { kind: _, others: __, ...way } = proposal;
    found.push({ ...way, what: turn.what });
  }
  const cost = (way: OtherWay): number =>
    way.broken.length * 1e12 +
    way.serviceMoved.reduce((sum, { from, to }) => sum + (to - from), 0) * 100 +
    moved(progress, way.timetable.steps);
  return found.toSorted((a, b) => cost(a) - cost(b)).slice(0, MOST_KEPT);
}

function turns(workload: Workload, progress: Progress, first: Proposal): Turn[] {
  const loads = openLoads(workload, progress, first);
  const isLate = first.serviceMoved.length > 0;
  const kept: Turn = {
    what: 'service as told, and what waits too long is told',
    attempt: { windows: 'give', service: 'hold' },
    later: 0,
  };
  const later: Turn = {
    what: `serve ${roughly(seconds(LATER_S))} later`,
    attempt: HOLDING,
    later: LATER_S,
  };
  const attempt: Yielding = isLate ? { windows: 'hold', service: 'give' } : HOLDING;
  return [
    isLate ? kept : later,
    ...swaps(loads).map((turn): Turn => ({ ...turn, attempt, later: 0 })),
    ...handSwaps(workload, progress, first).map((turn): Turn => ({ ...turn, attempt, later: 0 })),
    ...elsewhere(workload, loads).map((turn): Turn => ({ ...turn, attempt, later: 0 })),
  ];
}

/** A load that is still to go into an oven: the oven steps of a component in a row. */
interface Load {
  readonly component: Component;
  readonly steps: readonly StepId[];
  readonly oven: string;
  readonly start: EpochMs;
}

function openLoads(workload: Workload, { steps }: Progress, { timetable }: Proposal): Load[] {
  const planned = new Map(timetable.steps.map((step) => [step.step, step]));
  return workload.components
    .flatMap((component) =>
      runs(component).flatMap((run): Load[] => {
        const ids = run.map(({ id }) => id);
        const [begins] = ids;
        const first = begins === undefined ? undefined : planned.get(begins);
        if (!first?.oven || ids.some((id) => steps[id]?.kind !== 'open')) return [];
        return [{ component, steps: ids, oven: first.oven, start: first.start }];
      }),
    )
    .toSorted((a, b) => a.start - b.start);
}

/** Neighbours in one oven the other way round, the nearest first. */
function swaps(loads: readonly Load[]): Pick<Turn, 'what' | 'steer'>[] {
  return loads.flatMap((second, index) => {
    const before = loads.slice(0, index).findLast((load) => load.oven === second.oven);
    if (!before || before.component === second.component) return [];
    const steer: Steer = (problem, extraction) => inOrder(problem, extraction, second, before);
    return [{ what: `${named(second)} before ${named(before)} in the ${second.oven}`, steer }];
  });
}

function inOrder(problem: Problem, { startOf, endOf }: Extraction, first: Load, second: Load): Problem {
  const [last, next] = [first.steps.at(-1), second.steps[0]];
  if (last === undefined || next === undefined) return problem;
  const lag = { from: endOf(last), to: startOf(next), weight: 0, rule: -1 };
  return { ...problem, lags: [...problem.lags, lag] };
}

/** Two things for the same pair of hands the other way round, the nearest first. */
function handSwaps(
  { components, kitchen }: Workload,
  { steps }: Progress,
  { timetable }: Proposal,
): Pick<Turn, 'what' | 'steer'>[] {
  if (kitchen.cooks > 1) return [];
  const of = new Map(
    components.flatMap((component) => component.steps.map((step) => [step.id, { component, step }])),
  );
  const busy = timetable.steps.flatMap(({ step: id }) => {
    const found = of.get(id);
    return found?.step.hands === 'busy' && steps[id]?.kind === 'open' ? [found] : [];
  });
  return busy.slice(1).flatMap((second, index) => {
    const before = busy[index];
    if (!before || before.component === second.component) return [];
    const steer: Steer = (problem, { startOf, endOf }) => {
      const lag = { from: endOf(second.step.id), to: startOf(before.step.id), weight: 0, rule: -1 };
      return { ...problem, lags: [...problem.lags, lag] };
    };
    const name = ({ component, step }: typeof second): string =>
      `${nameOf(component.id, component.name)}: ${step.name}`;
    return [{ what: `${name(second)} before ${name(before)}`, steer }];
  });
}

/** A load in another oven that is large enough. */
function elsewhere({ kitchen }: Workload, loads: readonly Load[]): Pick<Turn, 'what' | 'steer'>[] {
  return loads.flatMap((load) =>
    kitchen.ovens.flatMap(({ name }, index) => {
      if (name === load.oven) return [];
      const steer: Steer = (problem, { groupOf }) => {
        const [step] = load.steps;
        const group = step === undefined ? undefined : groupOf.get(step);
        return {
          ...problem,
          groups: problem.groups.map((each, place) =>
            place === group && each.candidates.includes(index) ? { ...each, candidates: [index] } : each,
          ),
        };
      };
      return [{ what: `${named(load)} in the ${name}`, steer }];
    }),
  );
}

const named = ({ component }: Load): string => nameOf(component.id, component.name);

/** Where several plans are laid together the component's own name may be that of another's too. */
const nameOf = (id: ComponentId, name: string): string => (id.includes('/') ? id.replace('/', ' ') : name);

function isSame(a: Pick<Proposal, 'timetable'>, b: Pick<Proposal, 'timetable'>): boolean {
  const starts = new Map(a.timetable.steps.map((step) => [step.step, step]));
  return b.timetable.steps.every((step) => {
    const other = starts.get(step.step);
    return other && other.oven === step.oven && Math.abs(other.start - step.start) < SAME_MS;
  });
}

/** How far everything moves from what was told, ms in all. */
function moved({ told }: Progress, steps: readonly PlannedStep[]): number {
  const starts = new Map(told.steps.map(({ step, start }) => [step, start]));
  return steps.reduce((sum, { step, start }) => sum + Math.abs(start - (starts.get(step) ?? start)), 0);
}
