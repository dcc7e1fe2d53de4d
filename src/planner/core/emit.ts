import { cliques } from './cliques.ts';
import type { Compiled } from './compile.ts';
import { Cumulative, type View } from './cumulative.ts';
import { Disjunctive, type Order } from './disjunctive.ts';
import { Engine } from './engine.ts';
import type { Condition, Place } from './model.ts';
import { addGoals, type Goal } from './goals.ts';
import type { Problem } from './problem.ts';

export type Atom = readonly [side: number, bound: number];

/** A model as an engine that can be searched, and the way back from its variables to points. */
export interface Emitted {
  readonly engine: Engine;
  /** By point. */
  readonly views: readonly View[];
  /** Variables that make a schedule once all are settled: times, then choices. */
  readonly times: readonly number[];
  readonly choices: readonly number[];
  readonly goesTo: readonly (readonly (Atom | boolean)[])[];
  readonly goals: readonly Goal[];
  /** How long the second time lies after the first at least, by lags alone; undefined: no lag says so. */
  readonly lagBetween: (one: number, other: number) => number | undefined;
}

/** Makes the engine; undefined: what holds at the root cannot be met. */
export function emit(problem: Problem, compiled: Compiled): Emitted | undefined {
  return new Emitter(problem, compiled).run();
}

/** No more are looked after. */
const MOST_CLIQUES = 6;

export class Emitter {
  readonly engine = new Engine();
  readonly problem: Problem;
  readonly compiled: Compiled;
  /** By node: its variable and what is added to it. Nodes that move together share one. */
  private readonly viewOf: View[] = [];
  private readonly times: number[] = [];
  /** By variable of a time: the node that leads. */
  private readonly nodeOf: number[] = [];
  private readonly choices: number[] = [];

  constructor(problem: Problem, compiled: Compiled) {
    this.problem = problem;
    this.compiled = compiled;
  }

  run(): Emitted | undefined {
    const { engine, compiled, problem } = this;
    const { model, goesTo } = compiled;
    this.addVariables();
    this.addLags();
    const possible = model.openClauses().every((clause) => this.addClause(clause));
    if (!possible) return undefined;
    for (const { capacity, tasks } of model.resources) {
      const real = tasks.flatMap((task) => {
        const present = this.atom(task.present);
        if (present === false) return [];
        return [
          {
            from: this.view(task.from),
            to: this.view(task.to),
            amount: task.amount,
            ...(present !== true && { present }),
          },
        ];
      });
      if (real.reduce((sum, task) => sum + task.amount, 0) > capacity)
        engine.addPropagator(new Cumulative(engine.store, capacity, real));
    }
    this.addDisjunctives();
    const goals = addGoals(this, problem);
    engine.freeze();
    return {
      engine,
      views: model.places.map((place) => this.view(place)),
      times: this.times,
      choices: this.choices,
      goesTo: goesTo.map((ways) => ways.map((way) => this.atom(way))),
      goals,
      lagBetween: (one, other) => model.network.path(this.nodeOf[one] ?? 0, this.nodeOf[other] ?? 0),
    };
  }

  /** Cliques of jobs that cannot overlap, whether a resource or a lag keeps them apart. */
  private addDisjunctives(): void {
    const { model } = this.compiled;
    const jobs = model.jobs
      .map((job, number) => ({ ...job, number, length: model.leastBetween(job.from, job.to) }))
      .filter(({ length }) => length > 0);
    const isBefore = jobs.map((one) =>
      jobs.map((other) => model.verdict(model.after(one.to, other.from, 0)) === true),
    );
    const known: Order[] = [];
    const order = (a: number, b: number): Order => {
      const [one, other] = [jobs[a], jobs[b]];
      if (a === b || !one || !other) return false;
      return (known[a * jobs.length + b] ??= this.atom(model.after(one.to, other.from, 0)));
    };
    const link = (a: number, b: number): 'none' | 'settled' | 'open' => {
      if (isBefore[a]?.[b] === true || isBefore[b]?.[a] === true) return 'settled';
      return model.areApart(jobs[a]?.number ?? 0, jobs[b]?.number ?? 0) ? 'open' : 'none';
    };
    for (const clique of cliques(jobs.length, link, (job) => jobs[job]?.length ?? 0, MOST_CLIQUES)) {
      const members = clique.flatMap((place) => jobs[place] ?? []);
      const orders = clique.map((a) => clique.map((b) => order(a, b)));
      this.engine.addPropagator(
        new Disjunctive(
          this.engine.store,
          members.map(({ from, to, length }) => ({
            from: this.view(model.place(from)),
            to: this.view(model.place(to)),
            length,
          })),
          orders,
        ),
      );
    }
  }

  private addVariables(): void {
    const { network } = this.compiled.model;
    for (let node = 0; node < network.earliest.length; node += 1) {
      const leader = node < network.size ? this.leaderOf(node) : node;
      const leading = this.viewOf[leader];
      if (leading && leader < node) {
        this.viewOf.push({ variable: leading.variable, offset: network.distance(leader, node) });
        continue;
      }
      const variable = this.engine.store.addVariable(network.earliest[node] ?? 0, network.latest[node] ?? 0);
      this.viewOf.push({ variable, offset: 0 });
      this.nodeOf[variable] = node;
      (node < network.size ? this.times : this.choices).push(variable);
    }
  }

  /** The first node at a fixed distance from this one. */
  private leaderOf(node: number): number {
    const { network } = this.compiled.model;
    for (let other = 0; other < node; other += 1) if (network.isRigid(other, node)) return other;
    return node;
  }

  private addLags(): void {
    const { network } = this.compiled.model;
    const between = network.essential((node) => this.viewOf[node] ?? { variable: node, offset: 0 });
    for (const [from, to, weight] of between) this.engine.edges.add(from, to, weight);
  }

  view({ node, offset }: Place): View {
    const leader = this.viewOf[node] ?? { variable: 0, offset: 0 };
    return { variable: leader.variable, offset: leader.offset + offset };
  }

  /** A condition as an atom; makes the difference it speaks of. */
  atom(condition: Condition): Atom | boolean {
    const verdict = this.compiled.model.verdict(condition);
    if (verdict !== undefined || typeof condition === 'boolean') return verdict ?? false;
    const [from, to, weight] = condition;
    if (from < 0) {
      const { variable, offset } = this.view({ node: to, offset: 0 });
      return [2 * variable, weight - offset];
    }
    if (to < 0) {
      const { variable, offset } = this.view({ node: from, offset: 0 });
      return [2 * variable + 1, weight + offset];
    }
    const [a, b] = [this.view({ node: from, offset: 0 }), this.view({ node: to, offset: 0 })];
    const side = this.difference(from, to);
    const bound = weight - b.offset + a.offset;
    this.engine.differences.want(side, bound);
    return [side, bound];
  }

  /** The side that is the time of one node's variable less that of another's. */
  difference(from: number, to: number): number {
    const { network } = this.compiled.model;
    const [a, b] = [this.view({ node: from, offset: 0 }), this.view({ node: to, offset: 0 })];
    const shift = b.offset - a.offset;
    const least = network.distance(from, to) - shift;
    const most = -network.distance(to, from) - shift;
    const { differences } = this.engine;
    return a.variable < b.variable
      ? 2 * differences.between(a.variable, b.variable, least, most)
      : 2 * differences.between(b.variable, a.variable, -most, -least) + 1;
  }

  private addClause(clause: readonly Condition[]): boolean {
    const atoms: Atom[] = [];
    for (const condition of clause) {
      const atom = this.atom(condition);
      if (atom === true) return true;
      if (atom !== false) atoms.push(atom);
    }
    return this.engine.clauses.add(atoms);
  }
}
