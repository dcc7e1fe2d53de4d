import { ovenModel, secondsUntilRightRange, type OvenModel } from '../heat/index.ts';
import type { Step, StepId } from '../plan/index.ts';
import { resourceOrder, type Claim, type OrderCause, type OrderLag, type StateDemand } from './core/index.ts';
import { degreesOf } from './extract-ovens.ts';
import type { PromiseDraft } from './promise-draft.ts';
import type { Knob, Origin } from './promise-network.ts';
import type { OvenSetting, Timetable } from './timetable.ts';

/**
 * Knobs that are turned ahead of a load: no earlier than work begins and the loads before it are out, and the load goes in when
 * the oven is right, which nature decides within the range of its model.
 */
export function drawKnobs(draft: PromiseDraft, timetable: Timetable): Knob[] {
  const { kitchen } = draft.workload;
  return kitchen.ovens.flatMap((oven) => {
    const model = ovenModel(oven, kitchen.ambient);
    const settings = timetable.settings.filter((setting) => setting.oven === oven.name);
    return settings.flatMap((setting, place): Knob[] => {
      if (setting.heat.kind === 'off' || setting.at >= setting.hotBy) return [];
      const before = settings[place - 1]?.heat;
      const from = before?.kind === 'at' ? before.temperature.celsius : model.ambient;
      const knob = drawKnob(draft, timetable, setting, model, [from, setting.heat.temperature.celsius]);
      for (const other of sharing(timetable, settings, place))
        draft.atLeast(
          knob.right,
          draft.standOf(draft.extraction.startOf(other)).point,
          0,
          originOf(draft, setting),
        );
      return [knob];
    });
  });
}

function originOf({ extraction }: PromiseDraft, { oven, step }: OvenSetting): Origin {
  const of = extraction.steps.find(({ id }) => id === step);
  if (!of) throw new Error(`no step "${step}" for a setting`);
  return { kind: 'knob', oven, step: of };
}

function drawKnob(
  draft: PromiseDraft,
  timetable: Timetable,
  setting: OvenSetting,
  model: OvenModel,
  [from, to]: readonly [number, number],
): Knob {
  const { extraction, answer } = draft;
  const origin = originOf(draft, setting);
  const { high } = secondsUntilRightRange(model, from, to);
  const turned = draft.newPoint();
  const right = draft.newPoint();
  for (const load of timetable.steps)
    if (load.oven === setting.oven && load.end <= setting.at && load.start < load.end) {
      const out = draft.standOf(extraction.endOf(load.step));
      const answered = draft.isCalled(extraction.endOf(load.step)) ? draft.answer : 0;
      draft.atLeast(out.point, turned, out.plus + answered, origin);
    }
  // It may still be warm from before, and nothing is lost where it is right sooner.
  const link = { start: turned, end: right, low: 1, high: Math.max(1, Math.ceil(high)) + answer };
  const step = 'step' in origin ? origin.step : undefined;
  if (step) draft.natureOrFixed(link, { kind: 'oven', step, oven: setting.oven }, origin);
  draft.atLeast(right, draft.standOf(extraction.startOf(setting.step)).point, 0, origin);
  return { setting, turned, right };
}

/** Loads that go in while the knob stands as it was set for another one, before it is turned again. */
function sharing({ steps }: Timetable, settings: readonly OvenSetting[], place: number): StepId[] {
  const setting = settings[place];
  const until = settings[place + 1]?.at ?? Infinity;
  return steps.flatMap(({ step, oven, start }) =>
    setting && oven === setting.oven && step !== setting.step && start >= setting.hotBy && start < until
      ? [step]
      : [],
  );
}

/** The order of the timetable on everything that is shared. `ahead`: steps for which the oven is set ahead. */
export function drawOrder(draft: PromiseDraft, ahead: ReadonlySet<StepId>): void {
  const { extraction, schedule, workload } = draft;
  const models = workload.kitchen.ovens.map((oven) => ovenModel(oven, workload.kitchen.ambient));
  const change = (oven: number, before: StateDemand, after: StateDemand): number => {
    const model = models[oven];
    const step = draft.stepAt(after.start >> 1);
    const [from, to] = [degreesOf(draft.stepAt(before.start >> 1)), degreesOf(step)];
    if (!model || to === undefined || before.group === after.group || ahead.has(step.id)) return 0;
    return Math.ceil(secondsUntilRightRange(model, from ?? model.ambient, to).high);
  };
  for (const lag of resourceOrder(extraction.problem, schedule, change)) {
    // Knobs see to it that an oven is warm.
    if (lag.cause.kind === 'heat') continue;
    draft.lag(lag.from, lag.to, withAnswers(draft, lag), {
      kind: 'order',
      what: sharedWords(draft, lag.cause),
      ...sidesOf(draft, lag.cause),
    });
  }
}

/** The weight of an order with room for answers: what is handed on by an answer is free when the answer has come. */
function withAnswers(draft: PromiseDraft, { from, to, weight, cause }: OrderLag): number {
  const { answer } = draft;
  if (cause.kind === 'empty') return weight - answer;
  const isOneOpening = cause.kind === 'oven' && from % 2 === to % 2 && draft.at(from) === draft.at(to);
  // What goes in by one opening of a door is called at one moment; what comes out by one may be over so much apart.
  if (isOneOpening) return from % 2 === 0 ? weight : weight - 2 * answer;
  return weight + (draft.isCalled(from) ? answer : 0);
}

type Shared = Exclude<OrderCause, { readonly kind: 'heat' }>;

function sidesOf(draft: PromiseDraft, cause: Shared): { readonly before: Step; readonly step: Step } {
  const [before, after] = cause.kind === 'empty' ? [cause.of, cause.of] : [cause.before, cause.after];
  const stepOf = (side: Claim | StateDemand): Step =>
    draft.stepAt(('from' in side ? side.from : side.start) >> 1);
  return { before: stepOf(before), step: stepOf(after) };
}

function sharedWords({ workload: { kitchen } }: PromiseDraft, cause: Shared): string {
  if (cause.kind === 'empty') return 'no time';
  if (cause.kind === 'oven') return `the ${kitchen.ovens[cause.oven]?.name ?? 'oven'}`;
  if (cause.resource === 0) return 'the hands';
  if (cause.resource === 1) return 'the cook near';
  return `the ${kitchen.items[cause.resource - 2]?.name ?? 'tool'}`;
}
