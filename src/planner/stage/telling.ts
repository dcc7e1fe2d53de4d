import type { Step, StepId } from '../../plan/index.ts';
import {
  earlier,
  epochMs,
  later,
  plus,
  seconds,
  type DurationRange,
  type EpochMs,
} from '../../units/index.ts';
import type { PlannedStep, Timetable } from '../timetable.ts';
import { lengthBounds } from '../drafting.ts';
import { presenterDecides, type Slot } from './slots.ts';
import { isSwap, letters, needKey, swapOf, type Batch, type SwapBatch } from './batch.ts';
import { copiesOf, type Derived, type Made, type Stage } from './derive.ts';
import { jobsOf } from './jobs.ts';
import { SlowEvening } from './in-hand.ts';
import type { Brought, Rundown, Showing, ShownFrom, Swap, SwapState, Waiting } from './rundown.ts';
import type { Story } from './story.ts';

/** What a rundown is told from. */
interface Told {
  readonly stage: Stage;
  readonly story: Story;
  readonly derived: Derived;
  readonly planned: ReadonlyMap<StepId, PlannedStep>;
  readonly slow: SlowEvening;
}

/** The rundown of a story by its timetable. */
export function rundownOf(
  stage: Stage,
  story: Story,
  derived: Derived,
  timetable: Timetable,
  proven: boolean,
): Rundown {
  const planned = new Map(timetable.steps.map((each) => [each.step, each]));
  const told: Told = { stage, story, derived, planned, slow: new SlowEvening(derived, planned) };
  const { demonstration, workload, helper } = stage;
  const showings = story.slots.map((slot) => showing(slot, told));
  const onAir = timeOf(derived.onAir, told);
  const behind = workload.kitchen.ovens
    .map(({ name }) => name)
    .filter((name) => !demonstration.ovens.includes(name));
  return {
    title: workload.plans[0]?.title ?? '',
    begins: onAir.start,
    ends: onAir.end,
    lasts: demonstration.lasts,
    within: demonstration.within,
    helper,
    ovens: { onStage: demonstration.ovens, behind },
    air: { places: derived.places, onAir: derived.onAir },
    showings,
    swaps: story.batches.filter(isSwap).map((batch) => swap(batch, told)),
    ...unbackedOf(stage, story),
    jobs: jobsOf(derived, timetable),
    workload: derived.workload,
    timetable,
    proven,
  };
}

function unbackedOf({ workload, demonstration }: Stage, { batches }: Story): Pick<Rundown, 'unbacked'> {
  const fetched = new Set(batches.filter(isSwap).map(({ component }) => component.id));
  const titles = workload.components
    .filter(({ id }) => demonstration.backups.includes(id) && !fetched.has(id))
    .map(({ title }) => title);
  return titles.length === 0 ? {} : { unbacked: titles };
}

function timeOf(step: StepId, { planned }: Told): PlannedStep {
  const found = planned.get(step);
  if (!found) throw new Error(`the timetable has no step "${step}"`);
  return found;
}

function madeOf(batch: Batch, { derived }: Told): Made {
  const made = derived.made.get(batch);
  if (!made) throw new Error(`nothing was made of ${batch.component.id}`);
  return made;
}

function showing(slot: Slot, told: Told): Showing {
  const { show, number } = slot;
  const id = told.derived.showings[number];
  const step = told.derived.workload.components.flatMap(({ steps }) => steps).find((each) => each.id === id);
  if (!step) throw new Error(`nobody shows showing ${number + 1}`);
  const { start, end } = timeOf(step.id, told);
  const length: DurationRange =
    step.length.kind === 'rest'
      ? {
          low: step.length.atLeast,
          usual: step.length.atLeast,
          high: step.length.atMost ?? step.length.atLeast,
        }
      : step.length.range;
  const decides = presenterDecides(show) ? 'presenter' : 'nature';
  const planned = seconds((end - start) / 1000);
  const onTable = told.story.batches.find(({ touches }) => touches.some((touch) => touch.slot === slot));
  const index = onTable?.touches.find((touch) => touch.slot === slot)?.index;
  const of = index === undefined ? undefined : onTable?.component.steps[index];
  const before = told.derived.showings[number - 1];
  const after = afterOf(step, told).filter((each) => each !== before);
  return {
    step: step.id,
    start,
    end,
    shows:
      show.kind === 'step'
        ? {
            kind: 'step',
            component: onTable?.component.id ?? step.component,
            step: show.step,
            part: show.part,
            ...(of?.length.kind === 'each' && { each: true as const }),
          }
        : { kind: show.kind, about: show.about },
    action: step.action,
    length,
    decides,
    shortest: decides === 'presenter' ? length.low : planned,
    longest: decides === 'presenter' ? length.high : planned,
    ends: length.low < length.high || step.length.kind === 'each' || step.until ? 'press' : 'clock',
    ...(show.say !== undefined && { say: show.say }),
    from: shownFrom(slot, onTable, told),
    brings: onTable && index !== undefined ? brought(onTable, index, told) : [],
    after,
    ...slackOf(after, start, told),
  };
}

/** What is fetched says itself how much time it has in hand. */
function slackOf(after: readonly StepId[], start: EpochMs, told: Told): Pick<Showing, 'slack'> {
  const swapped = new Set(
    told.story.batches
      .filter((batch) => swapOf(batch) !== undefined)
      .flatMap((batch) => {
        const { pieces, component } = madeOf(batch, told);
        return component.steps.filter((_, place) => pieces[place]?.ahead).map(({ id }) => id);
      }),
  );
  const offView = after.filter((id) => !told.slow.isShown(id) && !swapped.has(id));
  if (offView.length === 0) return {};
  return { slack: seconds(Math.min(...offView.map((id) => told.slow.slack(id, start)))) };
}

/** The step before it in its component, and what it needs. */
function afterOf(step: Step, { derived }: Told): StepId[] {
  const own = derived.workload.components.find(({ id }) => id === step.component)?.steps ?? [];
  const before = own[own.findIndex(({ id }) => id === step.id) - 1]?.id;
  return [...new Set([...(before === undefined ? [] : [before]), ...step.needs])];
}

function shownFrom(slot: Slot, onTable: Batch | undefined, told: Told): ShownFrom {
  const beauties = told.story.beauties.get(slot);
  if (beauties) return { kind: 'swap', swaps: beauties.map(letterOf) };
  if (!onTable) return { kind: 'nothing' };
  const place = onTable.touches.findIndex((touch) => touch.slot === slot);
  const before = onTable.touches[place - 1];
  const since = before && told.derived.showings[before.slot.number];
  if (since === undefined)
    return isSwap(onTable) ? { kind: 'swap', swaps: [letterOf(onTable)] } : { kind: 'nothing' };
  const { component } = madeOf(onTable, told);
  const at = (id: StepId | undefined): number => component.steps.findIndex((step) => step.id === id);
  const steps = component.steps.slice(at(since) + 1, at(told.derived.showings[slot.number]));
  return { kind: 'live', since, steps: steps.map(({ id }) => id) };
}

const letterOf = ({ origin }: SwapBatch): string => letters(origin.number);

function brought(batch: Batch, index: number, told: Told): Brought[] {
  const needs = batch.component.steps[index]?.needs ?? [];
  return needs.flatMap((needed): Brought[] => {
    const provider = batch.providers.get(needKey(index, needed));
    if (!provider) return [];
    // What was fetched for the table is on it.
    if (isSwap(provider.batch) && provider.batch.touches.length === 0)
      return [{ kind: 'swap', swap: letterOf(provider.batch) }];
    if (provider.batch.origin.kind === 'part') return [];
    const { component, pieces } = madeOf(provider.batch, told);
    const step = component.steps[pieces.findLastIndex((piece) => piece.index === provider.index)];
    return step ? [{ kind: 'live', step: step.id }] : [];
  });
}

function swap(batch: SwapBatch, told: Told): Swap {
  const { stage } = told;
  const { origin, component } = batch;
  const made = madeOf(batch, told);
  const ahead = made.pieces.filter((piece) => piece.ahead).length;
  const last = made.component.steps[ahead - 1];
  const user = userOf(batch, ahead, told);
  const backups = origin.backups.map((backup) => madeOf(backup, told));
  const parts = [
    ...origin.parts.values(),
    ...origin.backups,
    ...origin.backups.flatMap(({ origin: of }) => (of.kind === 'backup' ? [...of.parts.values()] : [])),
  ].map((part) => madeOf(part, told).component);
  const steps = [...made.component.steps.slice(0, ahead), ...parts.flatMap((part) => part.steps)];
  const starts = Math.min(...steps.map(({ id }) => timeOf(id, told).start));
  const wanted = timeOf(user.id, told);
  const lasts = [last, ...backups.map(({ component }) => component.steps.at(-1))].filter(
    (each) => each !== undefined,
  );
  const ready = lasts.map(({ id }) => timeOf(id, told).end).reduce(later, last ? epochMs(0) : wanted.start);
  const copies = copiesOf(batch, stage.demonstration) + backups.length;
  return {
    id: letterOf(batch),
    component: component.id,
    title: component.title,
    state: stateOf(batch),
    use: origin.use,
    for: user.id,
    at: wanted.start,
    copies,
    backups: copies - 1,
    factor: copies,
    made: [made.component.id, ...parts.map(({ id }) => id)],
    starts: epochMs(Number.isFinite(starts) ? starts : wanted.start),
    ready,
    ...allRight([made, ...backups].map((each) => rightOf(each, origin.inside, user, told))),
    ...(last && {
      slack: seconds(
        Math.min(
          ...lasts.map(({ id }) => told.slow[origin.inside ? 'slackInside' : 'slack'](id, wanted.start)),
        ),
      ),
    }),
    waits: waits(last, wanted.start, told),
  };
}

function stateOf({ origin, component }: SwapBatch): SwapState {
  const { madeTo, inside, slot } = origin;
  const step = component.steps[inside ? madeTo : madeTo - 1] ?? component.steps[0];
  if (!step) throw new Error(`${component.id} has no steps`);
  return inside
    ? { kind: 'inside', step: step.id, left: seconds(slot.to - slot.from) }
    : { kind: 'after', step: step.id };
}

/** The step that takes the copy: the showing of it, or else the first that needs it. */
function userOf(batch: SwapBatch, ahead: number, told: Told): Step {
  const made = madeOf(batch, told);
  const own = made.component.steps[ahead];
  if (own) return own;
  const ids = new Set(made.component.steps.map(({ id }) => id));
  const users = told.derived.workload.components
    .flatMap(({ steps }) => steps)
    .filter(({ needs }) => needs.some((id) => ids.has(id)));
  const first = users.toSorted((a, b) => timeOf(a.id, told).start - timeOf(b.id, told).start)[0];
  if (!first) throw new Error(`nobody takes the copy ${letterOf(batch)}`);
  return first;
}

type Right = Pick<Swap, 'usableFrom' | 'useBy'>;

/** From when to when one making is right. */
function rightOf(made: Made, inside: boolean, user: Step, told: Told): Right {
  const ahead = made.pieces.filter((piece) => piece.ahead).length;
  const last = made.component.steps[ahead - 1];
  return inside && last?.length.kind === 'takes'
    ? rightInside(last.length.range, last.id, told)
    : rightFrom(made, ahead, last, user, told);
}

/** From when to when all of them are. */
function allRight(rights: readonly Right[]): Right {
  const ends = rights.flatMap(({ useBy }) => useBy ?? []);
  return {
    usableFrom: rights.map(({ usableFrom }) => usableFrom).reduce(later),
    ...(ends.length > 0 && { useBy: ends.reduce(earlier) }),
  };
}

/** A copy that nature is still at is right from when it could be so far at the soonest until when it is at the latest. */
function rightInside({ low, high }: DurationRange, last: StepId, told: Told): Right {
  const { start } = timeOf(last, told);
  return {
    usableFrom: plus(start, seconds(Math.ceil(low))),
    useBy: plus(start, seconds(Math.max(Math.ceil(low), Math.floor(high)))),
  };
}

/**
 * From when to when a copy may be taken, as the plan's own windows say: how long its last rest may be, and how long it may wait
 * after that.
 */
function rightFrom(
  { component }: Made,
  ahead: number,
  last: Step | undefined,
  user: Step,
  told: Told,
): Right {
  if (!last) return { usableFrom: timeOf(user.id, told).start };
  const { start, end } = timeOf(last.id, told);
  const isOwn = component.steps[ahead] === user;
  const { least, most } = lengthBounds(last);
  const rests = last.length.kind === 'rest';
  const after = isOwn ? Math.ceil(user.after) : 0;
  const usableFrom = plus(rests ? plus(start, seconds(least)) : end, seconds(after));
  const wait = isOwn ? user.within : longestUse(component.keeps, user);
  if (wait === undefined) return { usableFrom };
  if (rests && most === Infinity) return { usableFrom };
  const out: EpochMs = rests ? plus(start, seconds(most)) : end;
  return { usableFrom, useBy: plus(out, seconds(Math.floor(wait))) };
}

/** What it keeps counts until its user is done. */
const longestUse = (keeps: number | undefined, user: Step): number | undefined =>
  keeps === undefined ? undefined : Math.max(0, keeps - lengthBounds(user).least);

function waits(last: Step | undefined, until: EpochMs, told: Told): Waiting[] {
  if (!last) return [];
  const { start, end, oven } = timeOf(last.id, told);
  const cold = last.uses.find(({ item }) =>
    told.derived.workload.kitchen.items.some(({ name, kind }) => name === item && kind === 'cold shelf'),
  );
  const where = cold?.item ?? oven ?? last.uses[0]?.item ?? 'bench';
  return [
    ...(last.length.kind === 'rest' && end > start ? [{ where, from: start, until: end }] : []),
    ...(until > end ? [{ where: 'bench', from: end, until }] : []),
  ];
}
