import {
  aheadOf,
  endsByClock,
  expectedLength,
  followsInOven,
  heatWords,
  lookup,
  ovenOf,
  type RunSetup,
} from '../../bench/index.ts';
import { ovenModel } from '../../heat/index.ts';
import type { Step, StepId } from '../../plan/index.ts';
import type { OvenSetting } from '../../planner/index.ts';
import { letters } from '../chance.ts';
import { endsByHand } from '../cook.ts';
import { ovenOfLuck, type Life } from '../life.ts';
import { lotOf } from '../nature.ts';
import { endsAtProbe } from './probes-alone.ts';
import { goneBefore, isScarce, knowDependents, sorted } from './ties.ts';
import {
  NEVER,
  WAITING,
  type AheadPart,
  type ComponentPart,
  type DelayLetters,
  type ItemPart,
  type OvenLuck,
  type OvenPart,
  type PlanPart,
  type ServicePart,
  type SettingPart,
  type StepDraws,
  type StepPart,
  type Use,
} from './parts.ts';

/** A run as the fast bench has it. */
export interface Parts {
  /** Steps in the order of the workload, of the timetable, in which courses are reckoned, and of the soonest schedule. */
  readonly steps: readonly StepPart[];
  readonly told: readonly StepPart[];
  readonly inCourse: readonly StepPart[];
  readonly serial: readonly StepPart[];
  /** Those that want both hands, in the order of the timetable. */
  readonly busy: readonly StepPart[];
  readonly components: readonly ComponentPart[];
  readonly plans: readonly PlanPart[];
  readonly services: readonly ServicePart[];
  readonly ovens: readonly OvenPart[];
  readonly items: readonly ItemPart[];
  readonly settings: readonly SettingPart[];
  readonly lucks: readonly OvenLuck[];
  readonly cooks: number;
  readonly near: number;
}

/** A planned wait shorter than this is no wait (as the bench has it). */
const NO_WAIT_MS = 60_000;

const ms = (seconds: number | undefined): number =>
  seconds === undefined ? Infinity : Math.round(seconds * 1000);

/** Takes a run apart for the fast bench. */
export function assemble(setup: RunSetup, life: Life | undefined): Parts {
  const { workload, timetable, begunAt } = setup;
  const { kitchen } = workload;
  const services: ServicePart[] = [...new Set(timetable.service)]
    .toSorted((a, b) => a - b)
    .map((moment) => ({ at: moment - begunAt, plans: [] }));
  const plans = workload.plans.map((_, index): PlanPart => {
    const at = (timetable.service[index] ?? NaN) - begunAt;
    return planPart(found(services.find((each) => each.at === at)));
  });
  const ovens = kitchen.ovens.map((oven): OvenPart =>
    ovenPart(oven.name, ovenModel(oven, kitchen.ambient), oven.shelves),
  );
  const items = new Map(
    kitchen.items.map(({ name, count }) => [name, itemPart(count, workload.components.length)]),
  );
  const make: Making = { setup, life, ovens, items, lucks: new Map(), steps: new Map() };
  const components = workload.components.map((component, index): ComponentPart => {
    const part: ComponentPart = {
      index,
      plan: found(plans[component.plan]),
      keeps: ms(component.keeps),
      steps: [],
      current: undefined,
      finishedAt: NEVER,
    };
    part.steps = component.steps.map((step) => stepPart(make, step, part));
    for (const [at, step] of part.steps.entries()) step.next = part.steps[at + 1];
    return part;
  });
  const steps = components.flatMap((component) => component.steps);
  for (const [index, plan] of plans.entries()) {
    plan.components = components.filter((_, at) => workload.components[at]?.plan === index);
    for (const { steps: own } of plan.components)
      for (const step of own) plan.toldReady = Math.max(plan.toldReady, step.toldEnd);
  }
  const told = timetable.steps.map(({ step }) => found(make.steps.get(step)));
  const settings = timetable.settings.map((setting) => settingPart(make, setting));
  for (const oven of ovens) oven.loads = told.filter((step) => step.oven === oven);
  join(make, steps, told, settings);
  knowDependents(steps, ovens);
  const inCourse = sorted(told, ({ sources }) => sources);
  for (const [place, step] of inCourse.entries()) step.place = place;
  for (const item of items.values()) if (!isScarce(item, components)) item.stock = Infinity;
  const serial = sorted(told, (step) => [...step.needs, ...(step.before ? [step.before] : [])]);
  for (const oven of ovens) oven.inTurn = serial.filter((step) => step.oven === oven);
  return {
    steps,
    told,
    settings: [...settings, ...settingsMissing(make, settings)],
    inCourse,
    serial,
    busy: told.filter(({ hands }) => hands === 'busy'),
    components,
    plans,
    services,
    ovens,
    items: [...items.values()],
    lucks: [...make.lucks.values()],
    cooks: kitchen.cooks,
    near: kitchen.near,
  };
}

function planPart(service: ServicePart): PlanPart {
  const plan = { service, toldReady: NEVER, components: [], isServed: false, open: 0, lastEnd: NEVER };
  service.plans.push(plan);
  return plan;
}

function settingPart(
  { setup, ovens, steps }: Making,
  { oven, step, heat, at, hotBy }: OvenSetting,
): SettingPart {
  return {
    oven: found(ovens.find(({ name }) => name === oven)),
    step: found(steps.get(step)),
    isHot: heat.kind === 'at',
    celsius: heat.kind === 'at' ? heat.temperature.celsius : 0,
    at: at - setup.begunAt,
    hotBy: hotBy - setup.begunAt,
    unless: [],
    letters: delayLetters(`oven ${oven} ${heatWords(heat)} for ${step}#1`),
    delay: -1,
  };
}

interface Making {
  readonly setup: RunSetup;
  readonly life: Life | undefined;
  readonly ovens: readonly OvenPart[];
  readonly items: Map<string, ItemPart>;
  readonly lucks: Map<string, OvenLuck>;
  readonly steps: Map<StepId, StepPart>;
}

function found<T>(value: T | undefined): T {
  if (value === undefined) throw new Error('a timetable that is not one for this plan');
  return value;
}

function stepPart(make: Making, step: Step, component: ComponentPart): StepPart {
  const { setup } = make;
  const { placed: all } = lookup(setup.workload);
  const placed = found(all.get(step.id));
  const told = found(setup.timetable.steps.find((each) => each.step === step.id));
  const { low, usual, high } = expectedLength(step);
  const ovenName = ovenOf({ setup, timetable: setup.timetable }, step);
  const isRest = step.length.kind === 'rest';
  const byClock = endsByClock(step);
  const part: StepPart = {
    index: make.steps.size,
    place: 0,
    component,
    before: placed.before && make.steps.get(placed.before.id),
    next: undefined,
    isRest,
    endsItself: false,
    isTakenOut: false,
    resting: [],
    byClock,
    byProbe: !isRest && step.until !== undefined && endsAtProbe(step.until),
    byCook: !isRest && endsByHand(step),
    low: ms(low),
    usual: ms(usual),
    high: ms(high),
    atMost: ms(step.length.kind === 'rest' ? step.length.atMost : undefined),
    hands: step.hands,
    within: ms(step.within),
    after: ms(step.after),
    needs: [],
    meets: false,
    toldStart: told.start - setup.begunAt,
    toldEnd: told.end - setup.begunAt,
    isAtOnce: false,
    ahead: [],
    users: [],
    oven: make.ovens.find(({ name }) => name === ovenName),
    isHot: step.oven?.heat.kind === 'at',
    celsius: step.oven?.heat.kind === 'at' ? step.oven.heat.temperature.celsius : 0,
    door: step.oven?.door ?? 'usable',
    shelves: step.oven?.shelves ?? 0,
    followsInOven: followsInOven(placed),
    turn: step.oven ? ms(step.turn) : Infinity,
    earlierIn: [],
    settings: [],
    uses: step.uses.map(({ item, count }) => use(make, item, count)),
    holds: step.holds.map(({ item, count }) => use(make, item, count)),
    frees: [],
    sources: [],
    dependents: [],
    latestEnd: 0,
    draws: drawsOf(make, step),
    ...FRESH,
  };
  make.steps.set(step.id, part);
  return part;
}

const FRESH = {
  state: WAITING,
  startedAt: NEVER,
  endedAt: NEVER,
  doneAt: NEVER,
  pressAt: NEVER,
  drawn: 0,
  isTurned: false,
  startDelay: -1,
  doneDelay: -1,
  turnDelay: -1,
  expectedStart: 0,
  expectedEnd: 0,
  soonestEnd: 0,
  isLate: false,
  isListed: false,
} as const;

function use({ items, setup }: Making, name: string, count: number): Use {
  const item = items.get(name) ?? itemPart(Infinity, setup.workload.components.length);
  items.set(name, item);
  return { item, count };
}

const itemPart = (stock: number, components: number): ItemPart => ({
  stock,
  used: new Float64Array(components),
  held: new Float64Array(components),
  freedAt: NEVER,
});

const ovenPart = (name: string, model: OvenPart['model'], shelves: number): OvenPart => ({
  name,
  model,
  loads: [],
  inTurn: [],
  shelves,
  dependents: [],
  isOn: false,
  goal: 0,
  setAt: 0,
  phase: 'off',
  readyAt: 0,
  door: 'shut',
  baseAt: 0,
  base: model.ambient,
  soaks: true,
  emptiedAt: NEVER,
  started: 0,
  isChanged: true,
  lastEnd: 0,
  lastHot: 0,
  hasLast: false,
});

const delayLetters = (about: string): DelayLetters => ({
  delay: letters('delay', about),
  forgets: letters('forgets', about),
  forgottenFor: letters('forgotten for', about),
});

/** The very questions that nature and the cook ask in a component's first attempt. */
function drawsOf({ lucks, life }: Making, step: Step): StepDraws {
  const name = ovenOfLuck(step);
  const oven =
    name === undefined ? undefined : (lucks.get(name) ?? { letters: letters('day of', name), value: 0 });
  if (name !== undefined && oven) lucks.set(name, oven);
  return {
    lot: lotOf(step, life),
    luck: letters('nature', step.id, 1),
    oven,
    start: delayLetters(`start ${step.id}#1`),
    end: delayLetters(`end ${step.id} 1`),
    done: delayLetters(`done ${step.id}#1`),
    turn: delayLetters(`turn ${step.id}#1`),
  };
}

/** Lets the steps know each other. */
function join(
  { setup, steps: known }: Making,
  steps: readonly StepPart[],
  told: readonly StepPart[],
  settings: readonly SettingPart[],
): void {
  const { placed: all } = lookup(setup.workload);
  const part = (id: StepId): StepPart => found(known.get(id));
  for (const [id, step] of known) step.needs = found(all.get(id)).step.needs.map(part);
  for (const [id, step] of known) {
    const placed = found(all.get(id));
    step.meets = step.needs.some((need) => need.component !== step.component);
    step.users = step.next ? [] : steps.filter(({ needs }) => needs.includes(step));
    const users = step.next ? [step.next] : step.users;
    step.isTakenOut = step.oven !== undefined && users.every(({ toldStart }) => toldStart > step.toldEnd);
    step.endsItself = step.isRest && !placed.step.until && users.length > 0 && !step.isTakenOut;
    const sources = step.needs.map((need) => need.toldEnd);
    if (step.before) sources.push(step.before.toldEnd + step.after);
    step.isAtOnce = sources.length > 0 && step.toldStart - Math.max(...sources) <= NO_WAIT_MS;
    step.ahead = aheadOf(setup.workload, placed).map((ahead): AheadPart => {
      const following = part(ahead.step.id);
      return {
        needs: ahead.needs.map(part),
        hot: following.isHot && following.oven && !following.followsInOven ? following : undefined,
        shift: -Math.max(
          Math.round((ahead.offset + ahead.slack) * 1000),
          following.toldStart - step.toldStart,
        ),
      };
    });
    step.earlierIn = step.oven ? goneBefore(step, told) : [];
    step.settings = settings.filter((setting) => setting.step === step);
    for (const [index, { until }] of placed.step.holds.entries())
      part(until).frees.push({ ...found(step.holds[index]), by: step });
  }
  for (const step of steps) {
    const sources = [...step.needs, ...(step.before ? [step.before] : [])];
    step.resting = sources.filter(({ endsItself }) => endsItself);
    // What another component has held until this very step stands ready for it.
    const ready = step.frees.filter(({ by }) => by.component !== step.component);
    step.uses = step.uses.map(({ item, count }) => ({
      item,
      count: ready.reduce(
        (left, held) => (held.item === item ? Math.max(0, left - held.count) : left),
        count,
      ),
    }));
  }
}

/** Turns of a knob for loads that the timetable tells none for (as bench/oven-calls.ts has them). */
function settingsMissing(make: Making, told: readonly SettingPart[]): SettingPart[] {
  return make.setup.timetable.steps.flatMap(({ step: id, oven, start }): SettingPart[] => {
    const step = found(make.steps.get(id));
    const heat = found(lookup(make.setup.workload).placed.get(id)).step.oven?.heat;
    if (oven === undefined || heat?.kind !== 'at' || step.followsInOven) return [];
    if (told.some((setting) => setting.step === step && setting.isHot)) return [];
    const missing = settingPart(make, { oven, step: id, heat, at: start, hotBy: start });
    missing.unless = told.filter(
      (other) =>
        other.oven === missing.oven &&
        other.isHot &&
        other.step.toldStart <= step.toldStart &&
        Math.abs(other.celsius - step.celsius) <= other.oven.model.tolerance,
    );
    return [missing];
  });
}
