import {
  stepId,
  type Demonstration,
  type Show,
  type ShownPart,
  type Workload,
} from '../../../src/plan/index.ts';
import { planDemonstration, type Rundown, type StageRequest } from '../../../src/planner/index.ts';
import {
  parseDuration,
  parseEnds,
  seconds,
  type DurationRange,
  type Seconds,
} from '../../../src/units/index.ts';
import { moment, workload, type PlanSpec, type KitchenSpec } from '../../support/workloads.ts';

/** A showing as it is written in a plan, in short. */
export type ShowSpec =
  | { readonly show: string; readonly first?: string; readonly last?: string; readonly say?: string }
  | { readonly talk: string }
  | { readonly break: string }
  | { readonly beauty: string };

export interface DemonstrationSpec {
  readonly lasts: string;
  readonly helper?: boolean;
  readonly ovens?: readonly string[];
  readonly backups?: readonly string[];
  readonly shows: readonly ShowSpec[];
}

/** On air from here. */
export const EIGHT = moment('2027-03-05 20:00');

/** A plan in its kitchen with a demonstration. */
export function staged(
  spec: PlanSpec & { readonly kitchen?: KitchenSpec; readonly demonstration: DemonstrationSpec },
): Workload {
  const plain = workload(spec);
  const [plan] = plain.plans;
  if (!plan) throw new Error('a workload without a plan');
  const component = (name: string) => {
    const found = plain.components.find((each) => each.name === name);
    if (!found) throw new Error(`no component ${name}`);
    return found.id;
  };
  const place = { file: 'plan.yaml', line: 100, column: 3, endLine: 100, endColumn: 16 };
  const shows = spec.demonstration.shows.map((show, index) =>
    showOf(show, { ...place, line: 101 + index }, plain),
  );
  const demonstration: Demonstration = {
    lasts: length(spec.demonstration.lasts),
    within: seconds(30),
    helper: spec.demonstration.helper ?? false,
    ovens: spec.demonstration.ovens ?? plain.kitchen.ovens.map(({ name }) => name),
    backups: (spec.demonstration.backups ?? []).map(component),
    shows,
    place,
  };
  return { ...plain, plans: [{ ...plan, demonstration }] };
}

function showOf(spec: ShowSpec, place: Show['place'], { components }: Workload): Show {
  if (!('show' in spec)) {
    const [kind, lasts] = Object.entries(spec)[0] as ['talk' | 'break' | 'beauty', string];
    return { kind, about: kind, lasts: range(lasts), place };
  }
  const [name = '', ...rest] = spec.show.split('.');
  const component = components.find((each) => each.name === name);
  const id = component && stepId(component.id, rest.join('.'));
  const step = component?.steps.find((each) => each.id === id);
  if (!step) throw new Error(`no step ${spec.show}`);
  const part: ShownPart = spec.first !== undefined ? 'first' : spec.last !== undefined ? 'last' : 'whole';
  const own = step.length.kind === 'rest' ? undefined : step.length.range;
  const lasts = spec.first ?? spec.last;
  const long = lasts === undefined ? own : range(lasts);
  if (!long) throw new Error(`${spec.show} is a rest`);
  return {
    kind: 'step',
    step: step.id,
    part,
    lasts: long,
    place,
    ...(spec.say !== undefined && { say: spec.say }),
  };
}

const length = (text: string): Seconds => {
  const read = parseDuration(text);
  if (!read.ok) throw new Error(read.problem);
  return read.value;
};

function range(text: string): DurationRange {
  const ends = parseEnds(text);
  if (!ends.ok) throw new Error(ends.problem);
  return { ...ends.value, usual: seconds(Math.round((ends.value.low + ends.value.high) / 2)) };
}

const ASKED: StageRequest = { when: { kind: 'on air', at: EIGHT } };

export function solvedRundown(demo: Workload, request: StageRequest = ASKED): Rundown {
  const result = planDemonstration(demo, request);
  if (result.status !== 'solved')
    throw new Error(
      result.status === 'refused' ? result.reasons.map(({ message }) => message).join('\n') : 'unknown',
    );
  return result.rundown;
}

/** Why it is refused, one reason to a line. */
export function refusal(demo: Workload, request: StageRequest = ASKED): string {
  const result = planDemonstration(demo, request);
  if (result.status !== 'refused') throw new Error(`${result.status}, not refused`);
  return result.reasons.map(({ message }) => message).join('\n');
}

/** A rundown in short: minute on air, what is shown, and from which copy or since when. */
export const told = ({ showings, begins }: Rundown): string[] =>
  showings.map(({ start, shows, from, brings }) => {
    const what = shows.kind === 'step' ? `${shows.step} ${shows.part}` : shows.kind;
    const source =
      from.kind === 'swap' ? ` from ${from.swaps.join(' and ')}` : from.kind === 'live' ? ` carried on` : '';
    const along = brings.map((each) =>
      each.kind === 'swap' ? ` with ${each.swap}` : ` with live ${each.step}`,
    );
    return `${clock(start - begins)} ${what}${source}${along.join('')}`;
  });

const clock = (milliseconds: number): string => {
  const total = Math.round(milliseconds / 1000);
  return `${Math.floor(total / 60)}:${String(total % 60).padStart(2, '0')}`;
};
