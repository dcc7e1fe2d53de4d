import { airStep, type BenchState, type Projection } from '../bench/index.ts';
import type { ComponentId, OvenHeat, StepId } from '../plan/index.ts';
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
import { isSoon } from './soon.ts';
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
  /** The component whose row on the board tells it too; nothing of an oven's knob, or service. */
  readonly component?: ComponentId;
  /** It is within ten minutes. */
  readonly soon: boolean;
}

/** Names what an oven is set to: `220 C`, `off`. */
export const heatWords = (heat: OvenHeat): string =>
  heat.kind === 'off' ? 'off' : clean(formatTemperature(heat.temperature));

/** Whether two settings of a knob are one. */
export const sameHeat = (a: OvenHeat, b: OvenHeat): boolean =>
  a.kind === 'off' || b.kind === 'off'
    ? a.kind === b.kind
    : Math.abs(a.temperature.celsius - b.temperature.celsius) < 0.5;

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
  const settings = settingsAhead(state, projection, now);
  const starts = startsAhead(state, projection, now);
  // The knob is turned as the step begins: that is one thing to do, and its heat is said with it.
  const withStart = new Map(
    settings
      .filter(({ step, at }) =>
        starts.some((start) => start.step === step && Math.abs(start.at - at) < NEAR_MS),
      )
      .map(({ step, heat }) => [step, heat]),
  );
  const found: Ahead[] = [
    ...openCalls(state, now, shown),
    ...starts.map(({ step, what, ...start }) => ({ ...start, what: withHeat(what, withStart.get(step)) })),
    ...settings.filter(({ step }) => !withStart.has(step)),
    ...serviceAhead(state, now),
  ];
  return found
    .toSorted((a, b) => a.at - b.at)
    .slice(0, IN_VIEW)
    .map(({ at, who, what, component }) => {
      const wait = secondsBetween(now, at);
      return {
        at,
        who: clean(who),
        what: clean(what),
        ...(component === undefined ? {} : { component }),
        soon: isSoon(at, now),
        clock: clockWords(at, now, timeZone),
        wait: wait < 1 ? 'now' : wait < 600 ? `in ${countdown(wait)}` : `in ${roughly(wait)}`,
      };
    });
}

/** An oven's knob and a step this close together are one thing to the cook, in ms. */
const NEAR_MS = 60_000;

/** What to do, with the oven's heat before it where the words do not name it. */
function withHeat(what: string, heat: OvenHeat | undefined): string {
  if (heat === undefined || ` ${what.replaceAll(/[,.;]/g, ' ')} `.includes(` ${heatWords(heat)} `))
    return what;
  return `oven ${heat.kind === 'off' ? 'off' : `to ${heatWords(heat)}`}, ${what}`;
}

interface Ahead {
  readonly at: EpochMs;
  readonly who: string;
  readonly what: string;
  readonly component?: ComponentId;
}

const openCalls = (state: BenchState, now: EpochMs, shown: string | undefined): Ahead[] =>
  state.calls
    .filter((call) => call.due > now && call.key !== shown)
    .map((call) => ({
      at: call.due,
      ...callParts(call),
      ...(call.component === undefined || call.asks.kind === 'oven set' ? {} : { component: call.component }),
    }));

/** Starts of steps that are still to come. Those a standing call already asks for are left to the call. */
function startsAhead(
  state: BenchState,
  projection: Projection,
  now: EpochMs,
): (Ahead & { readonly step: StepId })[] {
  const lookup = lookupIn(state.setup.workload);
  const asked = new Set(state.calls.flatMap((call) => (call.asks.kind === 'start' ? [call.asks.step] : [])));
  const waiting = new Set(
    state.components.flatMap((run) =>
      run.steps.filter((step) => step.state === 'waiting').map((step) => step.step),
    ),
  );
  return projection.steps.flatMap(({ step: id, start }) => {
    const step = lookup.step(id);
    if (!step || asked.has(id) || !waiting.has(id) || id === airStep(state)) return [];
    const who = lookup.nameOf(step.component);
    return [{ at: later(start, now), who, what: step.action, step: id, component: step.component }];
  });
}

/**
 * Turns of an oven's knob that are still to come, moved as far as the step they are for has moved. An oven that stands
 * as it should, or will when what is asked has been done, needs no turn.
 */
function settingsAhead(
  state: BenchState,
  projection: Projection,
  now: EpochMs,
): (Ahead & { readonly step: StepId; readonly heat: OvenHeat })[] {
  const expected = new Map(projection.steps.map((step) => [step.step, step.start]));
  const planned = new Map(state.timetable.steps.map((step) => [step.step, step.start]));
  const asked = new Set<StepId>();
  const stands = new Map(state.ovens.map((oven) => [oven.oven, oven.heat]));
  for (const { asks } of state.calls) {
    if (asks.kind !== 'oven set') continue;
    asked.add(asks.step);
    stands.set(asks.oven, asks.heat);
  }
  const inOrder = state.timetable.settings.toSorted((a, b) => a.at - b.at);
  return inOrder.flatMap((setting) => {
    const start = expected.get(setting.step);
    const meant = planned.get(setting.step);
    if (start === undefined || meant === undefined || asked.has(setting.step)) return [];
    const at = plus(setting.at, secondsBetween(meant, start));
    const before = stands.get(setting.oven);
    if (before && sameHeat(before, setting.heat)) return [];
    stands.set(setting.oven, setting.heat);
    const what = setting.heat.kind === 'off' ? 'switch off' : `set to ${heatWords(setting.heat)}`;
    return at > now ? [{ at, who: setting.oven, what, step: setting.step, heat: setting.heat }] : [];
  });
}

function serviceAhead(state: BenchState, now: EpochMs): Ahead[] {
  const { workload, rundown } = state.setup;
  const what = rundown ? 'off air' : 'service';
  return state.timetable.service.flatMap((at, index) =>
    at > now ? [{ at, who: workload.plans[index]?.title ?? '', what }] : [],
  );
}
