import type { Choice, Conflict, Standing } from './conflict.ts';
import { conflicts, openGroup } from './conflicts.ts';
import { Network, type Mark, type Tally } from './network.ts';
import { withinGroup } from './oven-times.ts';
import type { Edge, Problem } from './problem.ts';

export interface SearchLimits {
  /**
   * How much may be looked at (see {@link Tally}), half of it for a careful search and half for a quick one where that found
   * nothing. It is overstepped by one node at most. The same problem and effort give the same answer on every machine.
   */
  readonly effort: number;
  /** Schedules that begin before this are not wanted. */
  readonly beginNotBefore?: number;
  /** Whether any schedule will do. */
  readonly anyWillDo?: boolean;
}

export interface Solution {
  /** The time of each point. */
  readonly times: Float64Array;
  /** The oven of each group. */
  readonly ovenOf: Int32Array;
  /** When work must begin. */
  readonly first: number;
  readonly sum: number;
}

export interface SearchResult {
  /** best: no schedule is better. some: there may be a better one. none: there is no schedule. unknown: the budget ran out. */
  readonly status: 'best' | 'some' | 'none' | 'unknown';
  readonly solution?: Solution;
  /** Choices that were tried. */
  readonly nodes: number;
  /** What was looked at. */
  readonly looks: number;
}

/** How many conflicts are weighed against each other at a node. */
const WEIGHED = 12;

/**
 * Finds the schedule that begins as late as possible and, among those, has the greatest sum of starts: depth first,
 * branch and bound. At each node the pointwise latest times either meet everything, and then nothing below is better,
 * or show conflicts. A conflict with no way out ends the node, one with a single way out is settled at once, and
 * otherwise the one whose cheapest way out costs most is branched on.
 */
export function search(problem: Problem, limits: SearchLimits): SearchResult {
  if (limits.anyWillDo) return new Search(problem, limits, WEIGHED).run();
  const half = { ...limits, effort: limits.effort / 2 };
  const careful = new Search(problem, half, WEIGHED).run();
  if (careful.status !== 'unknown') return careful;
  // Weighing costs more than such a problem allows: settle each conflict as it comes, and take the first schedule.
  const quick = new Search(problem, { ...half, anyWillDo: true }, 1).run();
  const cost = { nodes: careful.nodes + quick.nodes, looks: careful.looks + quick.looks };
  return quick.solution ? { ...quick, status: 'some', ...cost } : { ...quick, ...cost };
}

/** A choice that can be made, and what the bound becomes with it. */
interface Tried {
  readonly choice: Choice;
  readonly first: number;
  readonly sum: number;
}

interface Frame {
  readonly mark: Mark;
  readonly settled: number;
  readonly options: readonly Tried[];
  next: number;
}

class Search {
  private readonly problem: Problem;
  private readonly limits: SearchLimits;
  private readonly weighed: number;
  private readonly network: Network;
  private readonly standing: Standing;
  /** Groups in the order in which they got their ovens, for taking back. */
  private readonly settledGroups: number[] = [];
  private best: Solution | undefined;
  private nodes = 0;
  private readonly tally: Tally = { looks: 0 };

  constructor(problem: Problem, limits: SearchLimits, weighed: number) {
    this.problem = problem;
    this.limits = limits;
    this.weighed = weighed;
    this.network = new Network(problem.points, problem.starts, this.tally);
    const ovenOf = new Int32Array(problem.groups.length).fill(-1);
    this.standing = { problem, latest: this.network.latest, ovenOf, tally: this.tally };
  }

  run(): SearchResult {
    if (!this.prepare()) return this.result(true);
    const frames: Frame[] = [];
    let descend = true;
    for (;;) {
      const frame = descend ? this.expand() : undefined;
      if (frame) frames.push(frame);
      if (this.best && this.limits.anyWillDo) return this.result(true);
      if (this.isSpent()) return this.result(false);
      const top = frames.at(-1);
      if (!top) return this.result(true);
      this.takeBack(top.mark, top.settled);
      if (top.next >= top.options.length) {
        frames.pop();
        descend = false;
      } else {
        descend = this.advance(top);
      }
    }
  }

  private result(complete: boolean): SearchResult {
    const status = this.best ? (complete ? 'best' : 'some') : complete ? 'none' : 'unknown';
    return {
      status,
      nodes: this.nodes,
      looks: this.tally.looks,
      ...(this.best && { solution: this.best }),
    };
  }

  private isSpent(): boolean {
    return this.tally.looks > this.limits.effort;
  }

  /** Lays down what holds in every schedule; false when that alone cannot be met. */
  private prepare(): boolean {
    const floor = this.limits.beginNotBefore ?? -Infinity;
    this.network.beginNotBefore(floor);
    // The floor is looked at when something is lowered: it may already be out of reach before.
    if (this.network.first < floor) return false;
    if (!this.network.addAll(this.problem.lags)) return false;
    return this.problem.groups.every((group, index) => {
      const [only] = group.candidates;
      if (only === undefined) return group.demands.length === 0;
      return (
        group.candidates.length > 1 ||
        this.make({ edges: this.edgesOf(index, only), assign: { group: index, oven: only } })
      );
    });
  }

  private edgesOf(group: number, oven: number): Edge[] {
    const model = this.problem.ovens[oven];
    return model ? withinGroup(this.problem, group, model) : [];
  }

  private make(choice: Choice): boolean {
    this.nodes += 1;
    if (choice.assign) {
      this.standing.ovenOf[choice.assign.group] = choice.assign.oven;
      this.settledGroups.push(choice.assign.group);
    }
    return this.network.addAll(choice.edges);
  }

  private takeBack(mark: Mark, settled: number): void {
    this.network.undo(mark);
    while (this.settledGroups.length > settled) this.standing.ovenOf[this.settledGroups.pop() ?? 0] = -1;
  }

  /** Whether the bound still leaves room for something better than the best so far. */
  private promising(): boolean {
    if (!this.best) return true;
    const { first, sum } = this.network;
    return first > this.best.first || (first === this.best.first && sum > this.best.sum);
  }

  /** Settles what is forced, then gives the frame to branch on; nothing at a solution, a dead end, or when the effort is spent. */
  private expand(): Frame | undefined {
    while (!this.isSpent()) {
      const found = conflicts(this.standing, this.weighed);
      if (found.length === 0) {
        const open = openGroup(this.standing, (group, oven) => this.edgesOf(group, oven));
        if (!open) {
          this.record();
          return undefined;
        }
        found.push(open);
      }
      const weighed = this.weigh(found);
      if (weighed === 'dead end') return undefined;
      if (weighed.options.length > 1)
        return {
          mark: this.network.mark(),
          settled: this.settledGroups.length,
          options: weighed.options,
          next: 0,
        };
      const [only] = weighed.options;
      if (!only || !this.make(only.choice) || !this.promising()) return undefined;
    }
    return undefined;
  }

  /** The conflict to settle next, with those of its choices that can be made, the cheapest first. */
  private weigh(found: readonly Conflict[]): { readonly options: Tried[] } | 'dead end' {
    let chosen: Tried[] | undefined;
    for (const conflict of found) {
      if (this.isSpent()) break;
      const options = conflict.choices().flatMap((choice) => this.tryOut(choice) ?? []);
      if (options.length === 0) return 'dead end';
      options.sort(cheapestFirst);
      if (options.length === 1) return { options };
      if (!chosen || harder(options, chosen)) chosen = options;
    }
    return chosen ? { options: chosen } : 'dead end';
  }

  private tryOut(choice: Choice): Tried | undefined {
    if (this.isSpent()) return undefined;
    const mark = this.network.mark();
    const settled = this.settledGroups.length;
    const possible = this.make(choice) && this.promising();
    const tried = possible ? { choice, first: this.network.first, sum: this.network.sum } : undefined;
    this.takeBack(mark, settled);
    return tried;
  }

  /**
   * Makes the frame's next choice. Of more than two choices the ones made before are ruled out at the same time, so that
   * no schedule is looked at twice: not `a >= b + w` is `b >= a - w + 1` in whole seconds.
   */
  private advance(frame: Frame): boolean {
    const option = frame.options[frame.next];
    frame.next += 1;
    if (!option || !this.make(option.choice)) return false;
    if (frame.options.length > 2) {
      for (const earlier of frame.options.slice(0, frame.next - 1)) {
        const [edge, ...more] = earlier.choice.edges;
        if (!edge || more.length > 0 || earlier.choice.assign) continue;
        if (!this.network.add(edge.to, edge.from, 1 - edge.weight)) return false;
      }
    }
    return this.promising();
  }

  private record(): void {
    const { first, sum, latest } = this.network;
    this.best = { times: latest.slice(), ovenOf: this.standing.ovenOf.slice(), first, sum };
    this.network.beginNotBefore(first);
  }
}

const cheapestFirst = (a: Tried, b: Tried): number =>
  b.first - a.first || b.sum - a.sum || (a.choice.crowding ?? 0) - (b.choice.crowding ?? 0);

/** Whether the first conflict's cheapest way out costs more than the other's; its second cheapest decides a tie. */
function harder(options: readonly Tried[], other: readonly Tried[]): boolean {
  for (const place of [0, 1]) {
    const [mine, theirs] = [options[place], other[place]];
    if (!mine || !theirs) return false;
    if (mine.first !== theirs.first) return mine.first < theirs.first;
    if (mine.sum !== theirs.sum) return mine.sum < theirs.sum;
  }
  return false;
}
