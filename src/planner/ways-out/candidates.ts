import type { Component, Step, StepId, Workload } from '../../plan/index.ts';
import { hours, seconds, weekday, type EpochMs } from '../../units/index.ts';
import { beginOf } from '../limits-chain.ts';
import type { Timetable } from '../timetable.ts';
import type { Asked, Easing } from './easing.ts';
import { clockUnit, timeUnit } from './least.ts';
import type { Suspects } from './suspects.ts';

/** A change of which the least amount is to be found. */
export interface Candidate {
  readonly easing: (amount: number) => Easing;
  /** The largest amounts worth asking for, in seconds or as a count: the next where nothing is found up to the one before. */
  readonly most: readonly number[];
  readonly unitOf: (amount: number) => number;
  /** What the amount is added to. */
  readonly base?: number;
  /** How much of an amount a timetable made with it needed. */
  readonly used?: (timetable: Timetable, amount: number) => number;
}

const inPieces = (): number => 1;

/** More of what the kitchen has, and longer limits, by what stands in the way. */
export function changesOfPlan(workload: Workload, suspects: Suspects): Candidate[] {
  return [...ofKitchen(workload, suspects), ...ofLimits(workload, suspects)];
}

function ofKitchen({ kitchen }: Workload, suspects: Suspects): Candidate[] {
  const some = (most: number, easing: (by: number) => Easing): Candidate[] =>
    most > 0 ? [{ easing, most: [most], unitOf: inPieces }] : [];
  return [
    ...[...suspects.items].flatMap(([item, most]) =>
      some(most, (by) => ({ kind: 'more of an item', item, by })),
    ),
    ...some(suspects.near, (by) => ({ kind: 'more near steps', by })),
    ...some(suspects.cooks, (by) => ({ kind: 'more cooks', by })),
    ...[...suspects.shelves].flatMap(([oven, most]) =>
      some(most, (by) => ({ kind: 'more shelves', oven, by })),
    ),
    ...suspects.ovens.flatMap((like) =>
      some(1, () => ({ kind: 'another oven', oven: freeName(kitchen.ovens, like), like })),
    ),
  ];
}

function freeName(ovens: readonly { readonly name: string }[], like: string): string {
  for (let count = 2; ; count += 1) {
    const name = `${like} ${count}`;
    if (!ovens.some((oven) => oven.name === name)) return name;
  }
}

/** Limits are asked for up to half a day first, because nothing dies slower, then up to three days: over a weekend. */
const [HALF_A_DAY, A_WEEKEND] = [hours(12), hours(72)];

function ofLimits(workload: Workload, { waits, rests, keeps }: Suspects): Candidate[] {
  const steps = new Map(
    workload.components.flatMap((component) =>
      component.steps.map((step, place) => [step.id, { step, before: component.steps[place - 1] }] as const),
    ),
  );
  const upTo = (
    limit: number,
    easing: (by: number) => Easing,
    actual: (timetable: Timetable) => number,
  ): Candidate[] => [
    {
      easing,
      most: [HALF_A_DAY, A_WEEKEND].filter((longest) => longest > limit).map((longest) => longest - limit),
      unitOf: timeUnit,
      base: limit,
      used: (timetable) => actual(timetable) - limit,
    },
  ];
  return [
    ...waits.flatMap((id) => {
      const { step, before } = steps.get(id) ?? {};
      if (step?.within === undefined || !before) return [];
      return upTo(
        step.within,
        (by) => ({ kind: 'wait longer', step: id, by: seconds(by) }),
        (timetable) => between(endIn(timetable, before.id), startIn(timetable, id)),
      );
    }),
    ...rests.flatMap((id) => {
      const length = steps.get(id)?.step.length;
      if (length?.kind !== 'rest' || length.atMost === undefined) return [];
      return upTo(
        length.atMost,
        (by) => ({ kind: 'rest longer', step: id, by: seconds(by) }),
        (timetable) => between(startIn(timetable, id), endIn(timetable, id)),
      );
    }),
    ...keeps.flatMap((id) => {
      const component = workload.components.find((other) => other.id === id);
      if (component?.keeps === undefined) return [];
      return upTo(
        component.keeps,
        (by) => ({ kind: 'keep longer', component: id, by: seconds(by) }),
        (timetable) => ageIn(workload, component, timetable),
      );
    }),
  ];
}

const startIn = (timetable: Timetable, id: StepId): number =>
  timetable.steps.find(({ step }) => step === id)?.start ?? 0;
const endIn = (timetable: Timetable, id: StepId): number =>
  timetable.steps.find(({ step }) => step === id)?.end ?? 0;
/** Seconds from one moment to another. */
const between = (from: number, to: number): number => (to - from) / 1000;

/** How old a component gets in a timetable: until its last user is done, or until service. Seconds. */
export function ageIn(workload: Workload, component: Component, timetable: Timetable): number {
  const last = component.steps.at(-1);
  if (!last) return 0;
  const users = workload.components
    .flatMap(({ steps }) => steps)
    .filter((step: Step) => step.needs.includes(last.id));
  const until =
    users.length > 0
      ? Math.max(...users.map(({ id }) => endIn(timetable, id)))
      : (timetable.service[component.plan] ?? 0);
  return between(endIn(timetable, last.id), until);
}

/** Where plans get into each other's way, one of them may come later. */
export function oneLater({ request }: Asked, { plans }: Suspects): Candidate[] {
  if (request.service.kind !== 'at' || plans.length < 2) return [];
  return plans.map((plan) => ({
    easing: (by) => ({ kind: 'serve later', plans: [plan], by: seconds(by) }),
    most: [hours(3)],
    unitOf: clockUnit,
  }));
}

/** Less margin, where what is served does not keep until it is over, or where time is short. */
export function lessMargin({ workload, request }: Asked, plans: readonly number[]): Candidate[] {
  if (request.margins === 'drop') return [];
  return plans.flatMap((index) => {
    const margin = workload.plans[index]?.margin ?? 0;
    return margin < 60
      ? []
      : [
          {
            easing: (by) => ({ kind: 'less margin', plan: index, by: seconds(by) }) as const,
            most: [Math.floor(margin / 60) * 60],
            unitOf: clockUnit,
          },
        ];
  });
}

/** What helps against the clock, where there would be a timetable without it (`unhurried`). */
export function againstTheClock(asked: Asked, unhurried: Timetable): Candidate[] {
  const { workload, request } = asked;
  const { now, service } = request;
  const found: Candidate[] = [];
  const begin = beginOf(unhurried).at;
  /** In a timetable that begins later than it must, so much less would have done. */
  const used = (timetable: Timetable, amount: number): number =>
    now === undefined || workload.kitchen.hours ? amount : amount - between(now, beginOf(timetable).at);
  const late = now === undefined ? 0 : Math.ceil(between(begin, now) / 60) * 60;
  const most = workload.kitchen.hours ? [hours(3), hours(12), hours(36)] : [late];
  if (service.kind === 'at' && (late > 0 || workload.kitchen.hours)) {
    const all = workload.plans.map((_, plan) => plan);
    const choices = all.length > 1 ? [...all.map((plan) => [plan]), all] : [all];
    for (const plans of choices)
      found.push({
        easing: (by) => ({ kind: 'serve later', plans, by: seconds(by) }),
        most,
        unitOf: clockUnit,
        used,
      });
    found.push(...lessMargin(asked, all).map((candidate) => ({ ...candidate, used })));
  }
  if (late > 0)
    found.push({
      easing: (by) => ({ kind: 'begin earlier', by: seconds(by) }),
      most: [late],
      unitOf: clockUnit,
      used: (timetable) => between(beginOf(timetable).at, now ?? begin),
    });
  return [...found, ...longerHours(asked)];
}

const QUARTER = 15 * 60;
const WEEK = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];

/** On the days of service and the days before them, work may begin earlier or go on for longer. */
function longerHours({ workload, request }: Asked): Candidate[] {
  const { hours: week, timeZone } = workload.kitchen;
  if (!week || request.service.kind !== 'at') return [];
  const days = new Set(
    request.service.moments.flatMap((moment: EpochMs) => {
      const day = WEEK.indexOf(weekday(moment, timeZone));
      return [day, (day + 6) % 7];
    }),
  );
  return [...days].flatMap((day) =>
    week[day] === 'off'
      ? []
      : (['before', 'after'] as const).map((side) => ({
          easing: (by: number): Easing => ({ kind: 'work longer', day, side, by: seconds(by) }),
          most: [hours(8)],
          unitOf: () => QUARTER,
        })),
  );
}
