import type { OvenDemand, Step, StepId } from '../plan/index.ts';
import {
  earlier,
  formatTemperature,
  later,
  plus,
  secondsBetween,
  wallClock,
  type EpochMs,
} from '../units/index.ts';
import { called, lookup, must } from './lookup.ts';
import type { BenchState, Clash, ExpectedStep } from './state.ts';

type Run = Pick<BenchState, 'setup'>;

/** Demands that overlap for no longer than this do not clash: the cook opens the door once for both. */
const OVEN_GRACE_S = 30;
/** Hands that are wanted twice for no longer than this sort themselves out. */
export const HANDS_GRACE_S = 120;
/** Waiting longer than this for a pair of hands is worth a word, also where nothing spoils. */
const LONG_WAIT_S = 300;

interface Load {
  readonly expected: ExpectedStep;
  readonly step: Step;
  readonly name: string;
  readonly demand: OvenDemand;
}

/** Every clash ahead in a course of steps, the first to happen first. */
export function clashesIn(run: Run, course: readonly ExpectedStep[]): readonly Clash[] {
  return [...ovenClashes(run, course), ...handsClashes(run, course)].sort((a, b) => a.at - b.at);
}

/**
 * Whether a clash is worth a word. On hands only where the one that has to wait waits long, or may not wait so long: short
 * waits sort themselves out.
 */
export function isPressing(run: Run, clash: Clash, endOf: (step: StepId) => EpochMs): boolean {
  const [first, second] = clash.steps;
  if (clash.kind !== 'hands' || first === undefined || second === undefined) return true;
  const free = endOf(first);
  const { before, step } = must(lookup(run.setup.workload).placed, second);
  const limit = before && step.within !== undefined ? plus(endOf(before.id), step.within) : undefined;
  return (limit !== undefined && free > limit) || secondsBetween(clash.at, free) > LONG_WAIT_S;
}

const overlap = (a: ExpectedStep, b: ExpectedStep): number =>
  secondsBetween(later(a.start, b.start), earlier(a.end, b.end));

function ovenClashes(run: Run, course: readonly ExpectedStep[]): Clash[] {
  const { placed, ovens } = lookup(run.setup.workload);
  const found: Clash[] = [];
  for (const [name, model] of ovens) {
    const loads: Load[] = course
      .filter((expected) => expected.oven === name)
      .flatMap((expected) => {
        const here = must(placed, expected.step);
        const { step } = here;
        return step.oven ? [{ expected, step, name: called(here), demand: step.oven }] : [];
      })
      .sort((a, b) => a.expected.start - b.expected.start);
    for (const [index, second] of loads.entries()) {
      const sharing = loads
        .slice(0, index)
        .filter((first) => overlap(first.expected, second.expected) > OVEN_GRACE_S);
      const others = sharing.filter((first) => first.step.component !== second.step.component);
      for (const first of others) {
        const why = whyNotTogether(first, second, model.tolerance);
        if (why) found.push(clash(run, 'oven', first.expected, second.expected, `${name}: ${why}`));
      }
      const shelves = sharing.reduce((sum, load) => sum + load.demand.shelves, second.demand.shelves);
      const first = others[0];
      if (first && shelves > model.shelves) {
        found.push(
          clash(
            run,
            'oven',
            first.expected,
            second.expected,
            `${name}: ${shelves} shelves wanted, ${model.shelves} there`,
          ),
        );
      }
    }
  }
  return found;
}

const clash = (
  run: Run,
  kind: 'oven' | 'hands',
  first: ExpectedStep,
  second: ExpectedStep,
  why: string,
): Clash => ({
  kind,
  at: second.start,
  steps: [first.step, second.step],
  why: `${why}, at ${wallClock(second.start, run.setup.workload.kitchen.timeZone)}`,
});

const wants = ({ heat, door }: OvenDemand): string =>
  heat.kind === 'off' ? `off${door === 'ajar' ? ' and ajar' : ''}` : formatTemperature(heat.temperature);

/** Why two loads cannot be in one oven as expected, the first having gone in before the second; nothing if they can. */
function whyNotTogether(first: Load, second: Load, tolerance: number): string | undefined {
  const [a, b] = [first.demand, second.demand];
  const names = `${first.name} wants ${wants(a)} and ${second.name} wants ${wants(b)}`;
  if (a.heat.kind === 'off' || b.heat.kind === 'off' || a.door === 'ajar' || b.door === 'ajar') return names;
  if (Math.abs(a.heat.temperature.celsius - b.heat.temperature.celsius) > tolerance) return names;
  const startsInside = secondsBetween(first.expected.start, second.expected.start) > OVEN_GRACE_S;
  if (a.door === 'shut' && startsInside)
    return `${second.name} would go in while the door must stay shut for ${first.name}`;
  const endsInside = secondsBetween(first.expected.end, second.expected.end) > OVEN_GRACE_S;
  if (b.door === 'shut' && endsInside)
    return `${first.name} would come out while the door must stay shut for ${second.name}`;
  if (a.door === 'shut' && secondsBetween(second.expected.end, first.expected.end) > OVEN_GRACE_S) {
    return `${second.name} would come out while the door must stay shut for ${first.name}`;
  }
  return undefined;
}

function handsClashes(run: Run, course: readonly ExpectedStep[]): Clash[] {
  const { placed } = lookup(run.setup.workload);
  const busy = course
    .filter(({ step }) => must(placed, step).step.hands === 'busy')
    .toSorted((a, b) => a.start - b.start);
  const found: Clash[] = [];
  for (const [index, second] of busy.entries()) {
    const going = busy.slice(0, index).filter((first) => overlap(first, second) > HANDS_GRACE_S);
    const first = going.at(-1);
    if (first && going.length >= run.setup.workload.kitchen.cooks) {
      found.push(
        clash(
          run,
          'hands',
          first,
          second,
          `${called(must(placed, first.step))} and ${called(must(placed, second.step))} both want the hands`,
        ),
      );
    }
  }
  return found;
}
