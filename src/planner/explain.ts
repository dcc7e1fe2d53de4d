import type { Component, Workload } from '../plan/index.ts';
import { impossibleCycle } from './cycle.ts';
import type { Extraction } from './extract.ts';
import { impossibleAlone } from './impossible.ts';
import type { Refusal } from './plan.ts';
import { without, type Problem } from './problem.ts';
import { refusalOf } from './refusal.ts';
import { couldGive, stepsOf, type Rule } from './rules.ts';
import { search } from './search.ts';

/** More clashes than this are not told at once. */
const MOST = 3;
/** What one question "is it still impossible?" may look at, at least; an unanswered one counts as no. */
const QUESTION = 100_000;

/**
 * Why there is no timetable: the demands that cannot be met together, as few of them as can be found by looking at so much.
 * At least one refusal, provided the problem has no solution.
 */
export function explain(workload: Workload, extraction: Extraction, effort: number): readonly Refusal[] {
  const alone = impossibleAlone(workload);
  if (alone.length > 0) return alone;
  const found: Refusal[] = [];
  const out = new Set<number>();
  let left = effort;
  while (found.length < MOST) {
    const problem = without(extraction.problem, out);
    const circle = impossibleCycle(problem);
    let clash: readonly number[];
    if (circle) clash = fromItsLimit(extraction, [...new Set(circle.map((lag) => lag.rule))]);
    else {
      const narrowed = narrow(workload, extraction, problem, left);
      left = narrowed.left;
      if (!narrowed.clash) break;
      clash = narrowed.clash;
    }
    found.push(
      refusalOf(
        workload,
        clash.flatMap((number) => extraction.rules[number] ?? []),
        circle !== undefined,
      ),
    );
    // Without this clash's limits the next one can be seen, where there is one.
    for (const number of clash) if (gives(extraction, number)) out.add(number);
  }
  if (found.length > 0) return found.toSorted((a, b) => firstLine(a) - firstLine(b));
  return [{ message: 'no timetable meets every demand of the plan', steps: [], places: [] }];
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
  const first = search(problem, { effort: left, anyWillDo: true });
  left -= first.looks;
  if (first.status !== 'none') return { left };
  const question = Math.max(QUESTION, 2 * first.looks);
  const impossible = (out: ReadonlySet<number>): boolean => {
    if (left <= 0) return false;
    const answer = search(without(problem, out), { effort: Math.min(question, left), anyWillDo: true });
    // Writing the problem down again costs as well.
    left -= answer.looks + sizeOf(problem);
    return answer.status === 'none';
  };
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
  lags.length + demands.length + resources.reduce((sum, resource) => sum + resource.blocks.length, 0);

function presentRules(problem: Problem): number[] {
  const inGroups = problem.groups.flatMap((group) =>
    group.demands.flatMap((index) => problem.demands[index] ?? []),
  );
  const parts = [...problem.lags, ...inGroups, ...problem.resources.flatMap((resource) => resource.blocks)];
  return [...new Set(parts.map((part) => part.rule))];
}

function concerns(extraction: Extraction, number: number, component: Component): boolean {
  const rule = extraction.rules[number];
  return rule !== undefined && stepsOf(rule).some((step) => step.component === component.id);
}

/** What is most worth telling is left out last. */
const TELLING: readonly Rule['kind'][] = [
  'uses',
  'near',
  'holds',
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
