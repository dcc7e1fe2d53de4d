import { serviceOutcomes, type BenchState, type StepRun } from '../bench/index.ts';
import type { Component, Step } from '../plan/index.ts';
import { countdown, roughly, seconds, wallClock, type EpochMs, type Seconds } from '../units/index.ts';
import type { Tone } from './headline.ts';
import { rangeWords } from './lanes.ts';
import { lookupIn } from './lookup.ts';
import { clean } from './text.ts';

/** How a run went, once it is over: what was served and how late, and what it teaches. */
export interface EndedView {
  /** One for each plan: `Gallery opening, 40 buns: served at 19:33, 3 min late for 19:30`. */
  readonly services: readonly EndedLine[];
  /** Steps that took longer or shorter than the plan says, the farthest off first: `shells: beat took 8:25, the plan says 4-7 min`. */
  readonly lengths: readonly string[];
  /** What else happened that was not meant to: components made again, steps left out. */
  readonly losses: readonly string[];
  /** How many alarms were raised. */
  readonly alarms: number;
}

export interface EndedLine {
  readonly text: string;
  readonly tone: Tone;
}

/** How a run went so far; at its end how it went. Of a demonstration its stage tells more. */
export function endedView(state: BenchState): EndedView {
  const { nameOf, called } = lookupIn(state.setup.workload);
  const { components } = state.setup.workload;
  // Nature was simulated in a rehearsal, from the plan's own ranges: it teaches nothing about them.
  const lived = state.setup.rehearsal ? [] : components;
  const off = lived.flatMap((component, index) =>
    (state.components[index]?.steps ?? []).flatMap((run, place) => {
      const step = component.steps[place];
      return step ? offRange(state, component, step, run) : [];
    }),
  );
  return {
    services: servedLines(state),
    lengths: off
      .toSorted((a, b) => b.by - a.by)
      .map(({ step, took, says }) => `${called(step.id)} took ${took}, the plan says ${says}`),
    losses: [
      ...state.components
        .filter(({ attempt }) => attempt > 1)
        .map(({ component, attempt }) => `${nameOf(component)} was made ${attempt} times`),
      ...state.components.flatMap(({ steps }) =>
        steps.flatMap((run) => (run.state === 'skipped' ? [`${called(run.step)} was left out`] : [])),
      ),
    ],
    alarms: state.log.filter(({ kind }) => kind === 'alarm').length,
  };
}

/** More than this of one kind nobody reads. */
const MOST = 8;

/** What a run teaches, in lines; none where it went as the plan says. */
export function endedWords({ lengths, losses, alarms }: EndedView): readonly string[] {
  const more = lengths.length - MOST;
  return [
    ...(lengths.length === 0 ? [] : ['longer or shorter than the plan says:']),
    ...lengths.slice(0, MOST).map((text) => `  ${text}`),
    ...(more > 0 ? [`  and ${more} more`] : []),
    ...losses,
    ...(alarms === 0 ? [] : [`${alarms} ${alarms === 1 ? 'alarm' : 'alarms'}`]),
  ];
}

/** What was served of each plan and when, against when it was meant to be, and as it was told first. */
export function servedLines(state: BenchState): readonly EndedLine[] {
  const { plans, kitchen } = state.setup.workload;
  const clock = (moment: EpochMs): string => wallClock(moment, kitchen.timeZone);
  return serviceOutcomes(state).map(({ plan, service, first, servedAt, late }) => {
    const { title = '', makes } = plans[plan] ?? {};
    const what = `${clean(title)}${makes ? `, ${makes.count} ${clean(makes.of)}` : ''}`;
    const told = first === undefined ? '' : ` (told first: ${clock(first)})`;
    if (servedAt === undefined || late === undefined)
      return { text: `${what}: not served, meant for ${clock(service)}${told}`, tone: 'plain' };
    const word = state.setup.rundown ? 'ended' : 'served';
    return {
      text: `${what}: ${word} at ${clock(servedAt)}, ${lateWords(late)} for ${clock(service)}${told}`,
      tone: late < 60 ? 'good' : 'care',
    };
  });
}

/** Under a minute is on time. */
function lateWords(late: Seconds): string {
  if (Math.abs(late) < 60) return 'on time';
  return late > 0 ? `${roughly(late)} late` : `${roughly(seconds(0 - late))} early`;
}

/** A step that was ended outside the range of its plan; by how much, in seconds. */
function offRange(
  { setup }: BenchState,
  { plan }: Component,
  step: Step,
  run: StepRun,
): { readonly step: Step; readonly by: number; readonly took: string; readonly says: string }[] {
  if (run.state !== 'ended' || setup.workload.plans[plan] === undefined) return [];
  const { length } = step;
  const [low, high] =
    length.kind === 'rest'
      ? [length.atLeast, length.atMost ?? Infinity]
      : [length.range.low, length.range.high];
  const took = (run.endedAt - run.startedAt) / 1000;
  const by = Math.max(low - took, took - high);
  if (by < NOTABLE_S) return [];
  const says = high === Infinity ? `${roughly(seconds(low))} at least` : rangeWords(low, high);
  return [{ step, by, took: took < 3600 ? countdown(took) : roughly(seconds(took)), says }];
}

/** Less than this, in seconds, is the cook's press and not the step. */
const NOTABLE_S = 30;
