import type { Component, Workload } from '../plan/index.ts';
import type { EpochMs } from '../units/index.ts';
import { solve, type Problem } from './core/index.ts';
import { impossibleCycle } from './cycle.ts';
import type { Extraction } from './extract.ts';
import type { Refusal } from './plan.ts';
import { refusalOf } from './refusal.ts';
import { couldGive, stepsOf, type Rule } from './rules.ts';
import { asLags, presentRules, without } from './without.ts';

/** More clashes than this are not told at once. */
const MOST = 3;
/** What one question "is it still impossible?" may cost, at least; an unanswered one counts as no. */
const QUESTION = 100_000;

/** Rules that cannot hold together; each of them is needed for that (unless the effort was spent before). */
export interface Contradiction {
  readonly rules: readonly Rule[];
  /** They go round in a circle by themselves, whatever else the kitchen is asked for. */
  readonly circle: boolean;
}

/**
 * Why there is no timetable: the demands that cannot be met together, as few of them as can be found with so much work.
 * At least one refusal, provided the problem has no solution.
 * @param service when each plan is served, where that is known.
 */
export function explain(
  workload: Workload,
  extraction: Extraction,
  effort: number,
  service?: readonly EpochMs[],
): readonly Refusal[] {
  const found = contradictions(workload, extraction, effort).map(({ rules, circle }) =>
    refusalOf(workload, rules, circle, service),
  );
  if (found.length > 0) return found.toSorted((a, b) => firstLine(a) - firstLine(b));
  return [{ message: 'no timetable meets every demand of the plan', steps: [], places: [] }];
}

export function contradictions(
  workload: Workload,
  extraction: Extraction,
  effort: number,
): readonly Contradiction[] {
  const found: Contradiction[] = [];
  const out = new Set<number>();
  let left = effort;
  while (found.length < MOST) {
    const problem = without(extraction.problem, out);
    const { points, lags } = asLags(problem);
    const circle = impossibleCycle(points, lags);
    let clash: readonly number[];
    if (circle) clash = fromItsLimit(extraction, [...new Set(circle.map((lag) => lag.rule))]);
    else {
      const narrowed = narrow(workload, extraction, problem, left);
      left = narrowed.left;
      if (!narrowed.clash) break;
      clash = narrowed.clash;
    }
    found.push({
      rules: clash.flatMap((number) => extraction.rules[number] ?? []),
      circle: circle !== undefined,
    });
    // Without this clash's limits the next one can be seen, where there is one.
    for (const number of clash) if (gives(extraction, number)) out.add(number);
  }
  return found;
}

const firstLine = (refusal: Refusal): number => Math.min(...refusal.places.map((place) => place.line));

/** A circle told from one of its limits on, so that the rest stands in order of time. */
function fromItsLimit(extraction: Extraction, circle: readonly number[]): readonly number[] {
  const limit = circle.findIndex((number) => gives(extraction, number));
  return [...circle.slice(limit), ...circle.slice(0, Math.max(0, limit))];
}

function gives(extraction: Extraction, number: number): boolean {
  const rule = extraction.rules[number];
  return rule !== undefined && couldGive(rule);
}

interface Narrowed {
  /** The rules that are left; nothing where the problem is not known to be impossible. */
  readonly clash?: readonly number[];
  readonly left: number;
}

/**
 * Leaves out rules, whole components first, as long as the problem stays impossible. What is left is a clash of which
 * every part is needed (unless the effort was spent before).
 */
function narrow(workload: Workload, extraction: Extraction, problem: Problem, effort: number): Narrowed {
  let left = effort;
  const ask = (asked: Problem, work: number): { readonly impossible: boolean; readonly work: number } => {
    const answer = solve(asked, { budget: { work }, anyWillDo: true });
    // Writing the problem down again costs as well.
    left -= answer.work + sizeOf(problem);
    return { impossible: answer.status === 'infeasible', work: answer.work };
  };
  const first = ask(problem, left);
  if (!first.impossible) return { left };
  const question = Math.max(QUESTION, 2 * first.work);
  const impossible = (rules: ReadonlySet<number>): boolean =>
    left > 0 && ask(without(problem, rules), Math.min(question, left)).impossible;
  const present = presentRules(problem).filter((number) => gives(extraction, number));
  const kept = new Set(present);
  const out = new Set<number>();
  const leaveOut = (numbers: readonly number[]): void => {
    if (numbers.length === 0 || !impossible(new Set([...out, ...numbers]))) return;
    for (const number of numbers) {
      kept.delete(number);
      out.add(number);
    }
  };
  for (const component of workload.components)
    leaveOut(present.filter((number) => concerns(extraction, number, component)));
  for (const number of [...kept].toSorted((a, b) => telling(extraction, a) - telling(extraction, b)))
    leaveOut([number]);
  return { clash: [...kept].toSorted((a, b) => a - b), left };
}

const sizeOf = ({ lags, demands, resources }: Problem): number =>
  lags.length + demands.length + resources.reduce((sum, resource) => sum + resource.claims.length, 0);

function concerns(extraction: Extraction, number: number, component: Component): boolean {
  const rule = extraction.rules[number];
  return rule !== undefined && stepsOf(rule).some((step) => step.component === component.id);
}

/** What is most worth telling is left out last. */
const TELLING: readonly Rule['kind'][] = [
  'uses',
  'near',
  'holds',
  'hours',
  'rests at most',
  'keeps',
  'within',
  'busy',
  'oven',
];

function telling(extraction: Extraction, number: number): number {
  const rule = extraction.rules[number];
  return rule ? TELLING.indexOf(rule.kind) : -1;
}
