import {
  componentId,
  stepId,
  type Claim,
  type Component,
  type Door,
  type Hands,
  type HeldClaim,
  type Item,
  type Kitchen,
  type Oven,
  type OvenDemand,
  type Place,
  type Plan,
  type Step,
  type StepLength,
  type Trigger,
  type Workload,
} from '../../src/plan/index.ts';
import {
  celsius,
  epochMs,
  parseDuration,
  parseTemperature,
  seconds,
  type EpochMs,
  type Parsed,
  type Seconds,
} from '../../src/units/index.ts';

/*
 * Workloads for tests, written short. Lengths and temperatures are text as in a plan; equipment is named, or named with a
 * count; every step gets a line number of its own, counted on through the components as they would stand in a file.
 */

type Equipment = readonly string[] | Readonly<Record<string, number>>;

export interface StepSpec {
  /** One length, or the ends of a range. */
  readonly takes?: string | readonly [string, string];
  /** The middle of the range where it is not given. */
  readonly usually?: string;
  readonly each?: string;
  /** At least, and at most where there is a limit. */
  readonly rest?: readonly [string, string?];
  readonly hands?: Hands;
  readonly within?: string;
  readonly after?: string;
  /** Components (their last step) or `component.step`. */
  readonly needs?: readonly string[];
  readonly uses?: Equipment;
  readonly holds?: readonly { readonly item: string; readonly count?: number; readonly until: string }[];
  readonly oven?: {
    readonly at?: string;
    readonly off?: true;
    readonly door?: Door;
    readonly shelves?: number;
    readonly oven?: string;
  };
  readonly until?: Trigger;
  readonly action?: string;
  readonly caution?: string;
  readonly line?: number;
}

export interface NamedStep {
  readonly name: string;
  readonly spec: StepSpec;
}

export const step = (name: string, spec: StepSpec): NamedStep => ({ name, spec });

export interface ComponentSpec {
  readonly title?: string;
  readonly keeps?: string;
  readonly cooling?: 'cooked' | 'ambient';
  readonly steps: readonly NamedStep[];
}

export interface KitchenSpec {
  readonly timeZone?: string;
  readonly cooks?: number;
  readonly near?: number;
  readonly ambient?: number;
  readonly ovens?: readonly Partial<Oven>[];
  /** Counts of tools; kinds are guessed from the name (`hob`, `... shelf`). */
  readonly items?: Readonly<Record<string, number>>;
  readonly rules?: string;
}

export interface PlanSpec {
  readonly title?: string;
  readonly makes?: number;
  readonly of?: string;
  readonly margin?: string;
  readonly components: Readonly<Record<string, ComponentSpec | readonly NamedStep[]>>;
}

/** One plan in its kitchen. Items that are used but not listed are there once. */
export function workload(
  spec: PlanSpec & { readonly kitchen?: KitchenSpec; readonly name?: string },
): Workload {
  return assemble(spec.kitchen ?? {}, [{ ...spec, name: spec.name ?? 'plan', prefix: '' }]);
}

/** Several plans laid on one kitchen; their components are called `plan/component`. */
export function laidTogether(kitchen: KitchenSpec, plans: Readonly<Record<string, PlanSpec>>): Workload {
  return assemble(
    kitchen,
    Object.entries(plans).map(([name, spec]) => ({ ...spec, name, prefix: `${name}/` })),
  );
}

/** A moment in UTC: `2027-05-14 19:30`. */
export const moment = (text: string): EpochMs =>
  epochMs(Date.parse(`${text.replace(' ', 'T')}${text.length > 16 ? '' : ':00'}Z`));

type NamedPlan = PlanSpec & { readonly name: string; readonly prefix: string };

function assemble(kitchenSpec: KitchenSpec, plans: readonly NamedPlan[]): Workload {
  const components = plans.flatMap((spec, plan) => componentsOf(spec, plan));
  const used = components.flatMap((component) =>
    component.steps.flatMap((each) => [...each.uses, ...each.holds].map((claim) => claim.item)),
  );
  return {
    kitchen: kitchenOf(kitchenSpec, used),
    plans: plans.map((spec, plan): Plan => ({
      name: spec.name,
      file: `${spec.name}.yaml`,
      title: spec.title ?? spec.name,
      makes: { count: spec.makes ?? 10, of: spec.of ?? 'pieces' },
      margin: length(spec.margin ?? '0 min'),
      components: components.filter((component) => component.plan === plan).map((component) => component.id),
    })),
    components,
  };
}

function componentsOf(spec: PlanSpec & NamedPlan, plan: number): Component[] {
  let line = 10;
  const place = (at = line): Place => ({
    file: `${spec.name}.yaml`,
    line: at,
    column: 9,
    endLine: at,
    endColumn: 40,
  });
  const lastStep = (name: string): string =>
    stepsOf(spec.components[name] ?? [], `component "${name}"`).at(-1)?.name ?? '';
  const reference = (text: string): Step['id'] => {
    const [component = '', ...rest] = text.split('.');
    return stepId(
      componentId(spec.prefix + component),
      rest.length > 0 ? rest.join('.') : lastStep(component),
    );
  };
  return Object.entries(spec.components).map(([name, given]) => {
    const id = componentId(spec.prefix + name);
    const component: ComponentSpec = isSteps(given) ? { steps: given } : given;
    const head = place();
    line += 1;
    const steps = component.steps.map((each): Step => {
      const built = stepOf(each, id, spec.makes ?? 10, reference, place(each.spec.line ?? line));
      line += 1;
      return built;
    });
    return {
      id,
      name,
      title: component.title ?? name,
      plan,
      steps,
      place: head,
      ...(component.keeps !== undefined && { keeps: length(component.keeps) }),
      ...(component.cooling && { cooling: component.cooling }),
    };
  });
}

const isSteps = (given: ComponentSpec | readonly NamedStep[]): given is readonly NamedStep[] =>
  Array.isArray(given);

function stepsOf(given: ComponentSpec | readonly NamedStep[], what: string): readonly NamedStep[] {
  const steps = isSteps(given) ? given : given.steps;
  if (steps.length === 0) throw new Error(`${what} has no steps`);
  return steps;
}

function stepOf(
  { name, spec }: NamedStep,
  component: Component['id'],
  makes: number,
  reference: (text: string) => Step['id'],
  place: Place,
): Step {
  return {
    id: stepId(component, name),
    component,
    name,
    action: spec.action ?? name,
    length: lengthOf(spec, makes),
    hands: spec.hands ?? 'free',
    after: length(spec.after ?? '0 min'),
    needs: (spec.needs ?? []).map(reference),
    uses: claims(spec.uses ?? []),
    holds: (spec.holds ?? []).map(({ item, count = 1, until }): HeldClaim => ({
      item,
      count,
      until: reference(until),
    })),
    place,
    ...(spec.within !== undefined && { within: length(spec.within) }),
    ...(spec.oven && { oven: ovenOf(spec.oven) }),
    ...(spec.until && { until: spec.until }),
    ...(spec.caution !== undefined && { caution: spec.caution }),
  };
}

function lengthOf(spec: StepSpec, makes: number): StepLength {
  if (spec.rest) {
    const [atLeast, atMost] = spec.rest;
    return {
      kind: 'rest',
      atLeast: length(atLeast),
      ...(atMost !== undefined && { atMost: length(atMost) }),
    };
  }
  if (spec.each !== undefined) {
    const per = length(spec.each);
    const all = seconds(per * makes);
    return { kind: 'each', per, pieces: makes, range: { low: all, usual: all, high: all } };
  }
  const [low = '0 min', high = low] = typeof spec.takes === 'string' ? [spec.takes] : (spec.takes ?? []);
  const ends = { low: length(low), high: length(high) };
  const usual = spec.usually === undefined ? seconds((ends.low + ends.high) / 2) : length(spec.usually);
  return { kind: 'takes', range: { ...ends, usual } };
}

function ovenOf({ at, door = 'shut', shelves = 1, oven }: NonNullable<StepSpec['oven']>): OvenDemand {
  return {
    heat: at === undefined ? { kind: 'off' } : { kind: 'at', temperature: read(parseTemperature(at)) },
    door,
    shelves,
    ...(oven !== undefined && { oven }),
  };
}

function claims(equipment: Equipment): Claim[] {
  const counted = Array.isArray(equipment)
    ? equipment.map((item: string) => [item, 1] as const)
    : Object.entries(equipment);
  return counted.map(([item, count]) => ({ item, count }));
}

function kitchenOf(spec: KitchenSpec, used: readonly string[]): Kitchen {
  const counts = { ...Object.fromEntries(used.map((name) => [name, 1])), ...spec.items };
  return {
    name: 'test-kitchen',
    title: 'Test kitchen',
    timeZone: spec.timeZone ?? 'UTC',
    cooks: spec.cooks ?? 1,
    near: spec.near ?? 2,
    ambient: celsius(spec.ambient ?? 20),
    ovens: (spec.ovens ?? [{}]).map((oven, index) => ({
      name: index === 0 ? 'oven' : `oven ${index + 1}`,
      shelves: 2,
      heats: 10,
      cools: 5,
      tolerance: celsius(5),
      soak: seconds(600),
      ...oven,
    })),
    items: Object.entries(counts).map(([name, count]): Item => ({
      name,
      kind: name === 'hob' ? 'hob' : name.endsWith('shelf') ? 'cold shelf' : 'tool',
      count,
      carriesPieces: name === 'tray',
    })),
    ...(spec.rules !== undefined && { rules: spec.rules }),
  };
}

const length = (text: string): Seconds => read(parseDuration(text));

function read<T>(result: Parsed<T>): T {
  if (!result.ok) throw new Error(result.problem);
  return result.value;
}
