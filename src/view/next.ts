import type { BenchState, Projection } from '../bench/index.ts';
import type { OvenHeat } from '../plan/index.ts';
import {
  countdown,
  formatTemperature,
  later,
  plus,
  roughly,
  secondsBetween,
  type EpochMs,
} from '../units/index.ts';
import { lookupIn } from './lookup.ts';
import { callParts } from './now.ts';
import { clean, clockWords } from './text.ts';

/** Something the hands will have to do, and when. */
export interface NextView {
  readonly at: EpochMs;
  /** `18:54`, or `Sun 07:30` on another day. */
  readonly clock: string;
  /** `in 12 min`. */
  readonly wait: string;
  readonly who: string;
  readonly what: string;
}

/** Names what an oven is set to: `220 C`, `off`. */
export const heatWords = (heat: OvenHeat): string =>
  heat.kind === 'off' ? 'off' : clean(formatTemperature(heat.temperature));

/** More than this no screen shows. */
const IN_VIEW = 8;

/** What comes next, soonest first, without what is due already. `shown` is the call that stands as NOW. */
export function nextViews(
  state: BenchState,
  projection: Projection,
  now: EpochMs,
  shown: string | undefined,
): NextView[] {
  if (state.servedAt !== undefined) return [];
  const timeZone = state.setup.workload.kitchen.timeZone;
  const found = [
    ...openCalls(state, now, shown),
    ...startsAhead(state, projection, now),
    ...settingsAhead(state, projection, now),
    ...serviceAhead(state, now),
  ];
  return found
    .toSorted((a, b) => a.at - b.at)
    .slice(0, IN_VIEW)
    .map(({ at, who, what }) => {
      const wait = secondsBetween(now, at);
      return {
        at,
        who: clean(who),
        what: clean(what),
        clock: clockWords(at, now, timeZone),
        wait: wait < 1 ? 'now' : wait < 600 ? `in ${countdown(wait)}` : `in ${roughly(wait)}`,
      };
    });
}

interface Ahead {
  readonly at: EpochMs;
  readonly who: string;
  readonly what: string;
}

const openCalls = (state: BenchState, now: EpochMs, shown: string | undefined): Ahead[] =>
  state.calls
    .filter((call) => call.due > now && call.key !== shown)
    .map((call) => ({ at: call.due, ...callParts(call) }));

/** Starts of steps that are still to come. Those a standing call already asks for are left to the call. */
function startsAhead(state: BenchState, projection: Projection, now: EpochMs): Ahead[] {
  const lookup = lookupIn(state.setup.workload);
  const asked = new Set(state.calls.flatMap((call) => (call.asks.kind === 'start' ? [call.asks.step] : [])));
  const waiting = new Set(
    state.components.flatMap((run) =>
      run.steps.filter((step) => step.state === 'waiting').map((step) => step.step),
    ),
  );
  return projection.steps.flatMap(({ step: id, start }) => {
    const step = lookup.step(id);
    if (!step || asked.has(id) || !waiting.has(id)) return [];
    const who = lookup.component(step.component)?.name ?? step.component;
    return [{ at: later(start, now), who, what: step.action }];
  });
}

/** Turns of an oven's knob that are still to come, moved as far as the step they are for has moved. */
function settingsAhead(state: BenchState, projection: Projection, now: EpochMs): Ahead[] {
  const expected = new Map(projection.steps.map((step) => [step.step, step.start]));
  const planned = new Map(state.timetable.steps.map((step) => [step.step, step.start]));
  const asked = new Set(
    state.calls.flatMap((call) => (call.asks.kind === 'oven set' ? [call.asks.step] : [])),
  );
  return state.timetable.settings.flatMap((setting) => {
    const start = expected.get(setting.step);
    const meant = planned.get(setting.step);
    if (start === undefined || meant === undefined || asked.has(setting.step)) return [];
    const at = plus(setting.at, secondsBetween(meant, start));
    return at > now ? [{ at, who: setting.oven, what: `set to ${heatWords(setting.heat)}` }] : [];
  });
}

function serviceAhead(state: BenchState, now: EpochMs): Ahead[] {
  const { plans } = state.setup.workload;
  return state.timetable.service.flatMap((at, index) =>
    at > now ? [{ at, who: plans[index]?.title ?? '', what: 'service' }] : [],
  );
}
