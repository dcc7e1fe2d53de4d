import type { RunSetup } from '../../src/bench/index.ts';
import type { Step, StepLength, Trigger, Workload } from '../../src/plan/index.ts';
import { planTimetable } from '../../src/planner/index.ts';
import { celsius, seconds, temperatureOf, type EpochMs, type Seconds } from '../../src/units/index.ts';
import { asked } from '../planner/kitchens/case.ts';
import { chance, type Chance } from '../planner/kitchens/chance.ts';
import { tinyKitchen } from '../planner/kitchens/tiny.ts';

/*
 * Small random kitchens for rehearsals: those that the planner is tested with, whose lengths are seconds, stretched to minutes,
 * with ranges, cues, probes and trays to be turned.
 */

/** How much longer than in the planner's tests everything lasts, an oven's ways and soaks too. */
const STRETCH = 90;

/** A small random run with its timetable; nothing where the planner finds none. */
export function smallKitchenRun(seed: number): RunSetup | undefined {
  const given = asked(tinyKitchen(seed, { steps: [3, 9], roomy: true, anyTime: true }));
  const workload = stretched(given.workload, chance(seed));
  const now = Date.UTC(2027, 4, 14, 7) as EpochMs;
  const result = planTimetable(workload, { service: { kind: 'soonest' }, now });
  if (!('timetable' in result)) return undefined;
  const { timetable } = result;
  const first = [...timetable.steps.map(({ start }) => start), ...timetable.settings.map(({ at }) => at)];
  return { run: `small-${seed}`, workload, timetable, begunAt: first.reduce((a, b) => (a < b ? a : b)) };
}

function stretched(workload: Workload, draw: Chance): Workload {
  const { hours: _, ...kitchen } = workload.kitchen;
  return {
    ...workload,
    kitchen: {
      ...kitchen,
      ovens: kitchen.ovens.map((oven) => ({
        ...oven,
        heats: Number(oven.heats) / STRETCH,
        cools: Number(oven.cools) / STRETCH,
        soak: seconds(oven.soak * STRETCH),
        ...(draw.percent(50) && { load: celsius(12), given: ['load'] as const }),
      })),
    },
    plans: workload.plans.map((plan) => ({ ...plan, margin: seconds(plan.margin * STRETCH) })),
    components: workload.components.map((component) => ({
      ...component,
      ...(component.keeps !== undefined && { keeps: seconds(component.keeps * STRETCH * 2) }),
      steps: component.steps.map((step) => hotter(stretchedStep(step, draw))),
    })),
  };
}

function stretchedStep(step: Step, draw: Chance): Step {
  const length = stretchedLength(step, draw);
  const until = triggerFor(step, draw);
  const least = length.kind === 'rest' ? length.atLeast : length.range.low;
  const turns = step.oven && least > 120 && draw.percent(30);
  return {
    ...step,
    length,
    // Hands that rest together with what they have put to rest could not take it up again.
    hands: length.kind === 'rest' ? 'free' : step.hands,
    ...(step.within !== undefined && { within: seconds(step.within * STRETCH) }),
    after: seconds(step.after * STRETCH),
    ...(until && { until }),
    ...(turns && { turn: seconds(Math.round(least / 2)) }),
  };
}

/** No oven is set to the temperature of the room. */
function hotter(step: Step): Step {
  if (step.oven?.heat.kind !== 'at') return step;
  const { figure } = step.oven.heat.temperature;
  return {
    ...step,
    oven: { ...step.oven, heat: { kind: 'at', temperature: temperatureOf(figure + 20, 'C') } },
  };
}

function stretchedLength({ length, uses, holds, oven }: Step, draw: Chance): StepLength {
  if (length.kind === 'rest') {
    const most = length.atMost;
    // A rest that may be none at all is told without the tools and the oven that it would need.
    const least = uses.length + holds.length > 0 || oven ? 1 : 0;
    return {
      kind: 'rest',
      atLeast: seconds(Math.max(least, length.atLeast) * STRETCH),
      ...(most !== undefined && { atMost: seconds(most * STRETCH + 600) }),
    };
  }
  // The plan language has no step that takes no time at all.
  const usual = Math.max(1, length.range.usual) * STRETCH;
  const by = draw.one([0, 0, 0.1, 0.4]);
  const range = {
    low: seconds(Math.round(usual * (1 - by))),
    usual: seconds(usual),
    high: seconds(Math.round(usual * (1 + 1.5 * by))),
  };
  return { ...length, range };
}

function triggerFor({ id, component, length }: Step, draw: Chance): Trigger | undefined {
  const cue: Trigger = { kind: 'cue', text: 'it looks done' };
  const lasting: Seconds = seconds(10);
  const probe: Trigger = {
    kind: 'probe',
    probe: `${component} ${id.length}`,
    goal: { kind: 'falls to', to: temperatureOf(5, 'C') },
    lasting,
  };
  if (length.kind === 'each' || draw.percent(55)) return undefined;
  return draw.one<Trigger>([
    cue,
    cue,
    probe,
    { kind: 'any', of: [probe, cue] },
    { kind: 'all', of: [probe, cue] },
  ]);
}
