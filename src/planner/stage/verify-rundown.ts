import type { Component, ComponentId, Show, Step, StepId, Workload } from '../../plan/index.ts';
import type { PlannedStep } from '../timetable.ts';
import { verify } from '../verify.ts';
import type { Rundown, Showing } from './rundown.ts';

/** A step of the derived workload, the plan's step that it is or is a part of, and when it is. */
interface Found {
  readonly step: Step;
  readonly of: Step;
  readonly index: number;
  readonly start: number;
  readonly end: number;
  readonly oven: string | undefined;
}

/** A component of the derived workload that is made by a component of the plan. */
interface Thread {
  readonly id: ComponentId;
  readonly component: Component;
  readonly steps: readonly Found[];
}

/**
 * What a rundown does wrong, in words; nothing where it is right. It is held against the plan itself: it shares no code with what
 * made the rundown, and knows a step of the derived workload by its line in the plan.
 */
export function verifyRundown(plan: Workload, rundown: Rundown): string[] {
  const times = new Map(rundown.timetable.steps.map((each) => [each.step, each]));
  const threads = rundown.workload.components.flatMap((made) => threadOf(made, plan, times) ?? []);
  return [
    ...verify(rundown.workload, rundown.timetable).map(({ message }) => message),
    ...story(plan, rundown, threads),
    ...threads.flatMap((thread) => making(thread, rundown, threads)),
    ...hands(rundown, times),
    ...sources(rundown, threads),
    ...swaps(plan, rundown, threads),
  ];
}

const spot = ({ line, column }: Step['place']): string => `${line}:${column}`;

function threadOf(
  made: Component,
  plan: Workload,
  times: ReadonlyMap<StepId, PlannedStep>,
): Thread | undefined {
  const component = plan.components.find(({ place }) => spot(place) === spot(made.place));
  if (!component) return undefined;
  const steps = made.steps.flatMap((step): Found[] => {
    const index = component.steps.findIndex(({ place }) => spot(place) === spot(step.place));
    const [of, time] = [component.steps[index], times.get(step.id)];
    return of && time ? [{ step, of, index, start: time.start, end: time.end, oven: time.oven }] : [];
  });
  return { id: made.id, component, steps };
}

/** The showings are those of the plan, in its order, without a gap, and together as long as they are to be. */
function story(
  plan: Workload,
  { showings, begins, ends, lasts, within }: Rundown,
  threads: readonly Thread[],
): string[] {
  const shows = plan.plans[0]?.demonstration?.shows ?? [];
  const wrong: string[] = [];
  if (shows.length !== showings.length) wrong.push(`${showings.length} showings of ${shows.length}`);
  if (Math.abs((ends - begins) / 1000 - lasts) > within) wrong.push('it is not as long as it is to be');
  let at = begins;
  showings.forEach((showing, number) => {
    if (showing.start !== at) wrong.push(`${showing.step} does not begin where the one before it ends`);
    at = showing.end;
    const show = shows[number];
    if (show) wrong.push(...ofShow(show, showing, threads));
  });
  if (at !== ends) wrong.push('the last showing does not end when the demonstration does');
  return wrong;
}

function ofShow(show: Show, showing: Showing, threads: readonly Thread[]): string[] {
  const long = (showing.end - showing.start) / 1000;
  const wrong: string[] = [];
  const { low, usual, high } = show.lasts;
  const right =
    show.kind === 'step' && show.part === 'whole'
      ? long === Math.ceil(usual)
      : (long >= Math.floor(low) && long <= Math.ceil(high)) || long === Math.ceil(usual);
  if (!right) wrong.push(`${showing.step} lasts ${long} s`);
  if (show.kind !== 'step') return wrong;
  const found = threads.flatMap(({ steps }) => steps).find(({ step }) => step.id === showing.step);
  if (!found || found.of.id !== show.step) return [...wrong, `${showing.step} does not show ${show.step}`];
  if (found.step.hands !== 'busy') wrong.push(`${showing.step} is not in the presenter's hands`);
  return wrong;
}

/** A thread goes through the plan's steps from the first, leaves none out, and waits as the plan allows. */
function making(thread: Thread, rundown: Rundown, threads: readonly Thread[]): string[] {
  const wrong: string[] = [];
  const { steps, component, id } = thread;
  if (steps.some(({ index }, place) => index > (steps[place - 1]?.index ?? -1) + 1))
    wrong.push(`${id} leaves a step of ${component.id} out`);
  if (steps.some(({ index }, place) => index < (steps[place - 1]?.index ?? 0)))
    wrong.push(`${id} goes back a step`);
  steps.forEach((found, place) => {
    const before = steps[place - 1];
    if (before) wrong.push(...waiting(before, found));
    wrong.push(...needing(found, threads));
    if (
      found.oven !== undefined &&
      rundown.showings.some(({ step }) => step === found.step.id) &&
      !rundown.ovens.onStage.includes(found.oven)
    )
      wrong.push(`${found.step.id} is shown in an oven that nobody sees`);
  });
  for (const of of new Set(steps.map((found) => found.of))) wrong.push(...lengths(thread, of, rundown));
  return wrong;
}

function waiting(before: Found, found: Found): string[] {
  const wait = (found.start - before.end) / 1000;
  if (before.index === found.index) {
    const most = found.of.length.kind === 'each' ? (found.of.within ?? Infinity) : 0;
    return wait < 0 || wait > most ? [`${found.step.id} does not go on when it must`] : [];
  }
  const { after, within } = found.of;
  return wait < after || wait > Math.max(within ?? Infinity, Math.ceil(after))
    ? [`${found.step.id} waits ${wait} s after ${before.step.id}`]
    : [];
}

/** Whatever the plan's step needs was finished in some thread, and still keeps. */
function needing(found: Found, threads: readonly Thread[]): string[] {
  return found.of.needs.flatMap((needed) => {
    const providers = threads.filter(({ component }) => component.steps.some(({ id }) => id === needed));
    const right = providers.some((thread) => {
      const last = thread.steps.findLast(({ of }) => of.id === needed);
      if (!last || last.end > found.start || !found.step.needs.includes(last.step.id)) return false;
      const isLast = thread.component.steps.at(-1)?.id === needed;
      const { keeps } = thread.component;
      return !isLast || keeps === undefined || (found.end - last.end) / 1000 <= keeps;
    });
    return right ? [] : [`${found.step.id} has no ${needed} that is right`];
  });
}

/** The parts of a step are together as long as the step; what is shown last of a thread may be left at that. */
function lengths({ id, steps }: Thread, of: Step, { showings, swaps }: Rundown): string[] {
  const parts = steps.filter((found) => found.of === of);
  const last = steps.at(-1);
  const sum = parts.reduce((total, { start, end }) => total + (end - start) / 1000, 0);
  const isLeft =
    last?.of === of &&
    showings.some(
      ({ step, shows }) => step === last.step.id && shows.kind === 'step' && shows.part === 'first',
    );
  const { length } = of;
  const swap = swaps.find(({ made }) => made.includes(id));
  const copies = swap?.copies ?? 1;
  // A backup of what is fetched on its way is left at that.
  const { state, made: [first] = [] } = swap ?? {};
  if (state?.kind === 'inside' && id !== first && last?.of === of && of.id === state.step) return [];
  if (length.kind === 'rest') {
    const { atLeast, atMost = Infinity } = length;
    return (sum < atLeast && !isLeft) || sum > Math.max(atMost, Math.ceil(atLeast))
      ? [`${id} rests ${sum} s in ${of.name}`]
      : [];
  }
  const usual = Math.ceil(length.range.usual);
  if (sum === usual || (isLeft && sum < usual)) return [];
  // What is made for several copies at once is as much longer, but for what is shown of it.
  const grows = (length.kind === 'each' || of.scales === true) && of.scales !== false;
  return grows && sum > usual && sum <= usual * copies ? [] : [`${id} is ${sum} s in ${of.name}`];
}

/** Nobody does two things at once; the presenter has nothing but showings on air, but in breaks. */
function hands(
  { jobs, workload, showings, helper }: Rundown,
  times: ReadonlyMap<StepId, PlannedStep>,
): string[] {
  const wrong: string[] = [];
  const busy = workload.components.flatMap(({ steps }) => steps.filter((step) => step.hands === 'busy'));
  for (const { id } of busy) {
    const time = times.get(id);
    const own = jobs.filter(({ step }) => step === id).toSorted((a, b) => a.start - b.start);
    const gapless = own.every(({ start }, place) => start === (own[place - 1]?.end ?? time?.start));
    if (!time || time.end === time.start) continue;
    if (!gapless || own.at(-1)?.end !== time.end) wrong.push(`${id} is not in anybody's hands all the time`);
  }
  for (const who of ['presenter', 'helper'] as const) {
    const own = jobs.filter((job) => job.who === who).toSorted((a, b) => a.start - b.start);
    own.forEach((job, place) => {
      const before = own[place - 1];
      if (before && before.end > job.start)
        wrong.push(`the ${who} does ${before.step} and ${job.step} at once`);
    });
    if (who === 'helper' && own.length > 0 && !helper) wrong.push('there is no helper');
  }
  for (const { step, shows } of showings)
    if (
      shows.kind !== 'break' &&
      !jobs.some((job) => job.step === step && job.who === 'presenter' && job.onView)
    )
      wrong.push(`the presenter does not show ${step}`);
  return wrong;
}

/** What is carried on is the same thing, and all that happens to it off view happens between its showings. */
function sources({ showings, swaps }: Rundown, threads: readonly Thread[]): string[] {
  return showings.flatMap((showing) => {
    const { from, step } = showing;
    const thread = threads.find(({ steps }) => steps.some((found) => found.step.id === step));
    const at = thread?.steps.findIndex((found) => found.step.id === step) ?? -1;
    const before = thread?.steps.slice(0, at) ?? [];
    if (from.kind === 'swap')
      return from.swaps.flatMap((id) => {
        const swap = swaps.find((each) => each.id === id);
        return swap?.for === step ? [] : [`${step} is shown from ${id}, which is not for it`];
      });
    if (from.kind === 'nothing') return before.length > 0 ? [`${step} is not begun on the table`] : [];
    const since = showings.find((each) => each.step === from.since);
    const off = before.slice(before.findIndex((found) => found.step.id === from.since) + 1);
    if (!since || !before.some((found) => found.step.id === from.since))
      return [`${step} is not what was shown before`];
    return off.every(
      (found) => found.start >= since.end && found.end <= showing.start && from.steps.includes(found.step.id),
    ) && off.length === from.steps.length
      ? []
      : [`${step} is carried on outside its time`];
  });
}

/** Every swap is right at its minute, in the state that is wanted, with its backup. */
function swaps(plan: Workload, rundown: Rundown, threads: readonly Thread[]): string[] {
  const backups = plan.plans[0]?.demonstration?.backups ?? [];
  return rundown.swaps.flatMap((swap) => {
    const wrong: string[] = [];
    const thread = threads.find(({ id }) => id === swap.made[0]);
    const ahead = thread?.steps.filter(({ end }) => end <= swap.ready) ?? [];
    const until = ahead.at(-1);
    if (thread?.component.id !== swap.component) wrong.push(`${swap.id} is no ${swap.component}`);
    if (until && until.of.id !== swap.state.step) wrong.push(`${swap.id} is made until ${until.of.id}`);
    if (swap.ready > swap.at || swap.usableFrom > swap.at || (swap.useBy ?? Infinity) < swap.at)
      wrong.push(`${swap.id} is not right at its minute`);
    if (swap.copies !== (backups.includes(swap.component) ? 2 : 1) || swap.backups !== swap.copies - 1)
      wrong.push(`${swap.id} has ${swap.copies} copies`);
    const made = threads.filter(({ id }) => swap.made.includes(id)).flatMap(({ steps }) => steps);
    const first = Math.min(...made.map(({ start }) => start));
    if (made.length > 0 && swap.starts !== first) wrong.push(`${swap.id} is not begun when it says`);
    return wrong;
  });
}
