import type { Profile } from './profile.ts';
import { runsOf, type Run, type SettledDemand } from './runs.ts';
import {
  endOf,
  startOf,
  type Activity,
  type Claim,
  type Lag,
  type Level,
  type Point,
  type Problem,
  type Resource,
  type Schedule,
  type StateDemand,
  type StateResource,
} from './problem.ts';
import type { Windows } from './windows.ts';

/** What is settled already, by resource and by oven (in order of start). */
export interface Settled {
  readonly profiles: readonly Profile[];
  readonly ovens: readonly SettledDemand[][];
}

/** What a whole problem says of each activity, looked up once. */
export class Parts {
  readonly problem: Problem;
  /** By activity. */
  readonly lags: readonly Lag[][];
  readonly claims: readonly { readonly resource: number; readonly claim: Claim }[][];
  readonly groups: readonly number[][];
  /** By oven: the longest change of all. */
  readonly widest: readonly number[];

  constructor(problem: Problem) {
    this.problem = problem;
    const lists = <T>(): T[][] => problem.activities.map(() => []);
    this.lags = lists<Lag>();
    this.claims = lists<{ resource: number; claim: Claim }>();
    this.groups = lists<number>();
    for (const lag of problem.lags) this.lags[lag.from >> 1]?.push(lag);
    problem.resources.forEach(({ claims }, resource) => {
      for (const claim of claims)
        if (claim.amount > 0) this.claims[claim.from >> 1]?.push({ resource, claim });
    });
    problem.groups.forEach(({ demands }, group) => {
      const first = problem.demands[demands[0] ?? -1];
      if (first) this.groups[first.start >> 1]?.push(group);
    });
    this.widest = problem.ovens.map(({ change }) => {
      let widest = 0;
      for (const row of change) for (const wait of row) if (wait > widest) widest = wait;
      return widest;
    });
  }
}

/** The problem of placing some activities among what is settled. The first activity stands at time 0. */
export class Part {
  private readonly parts: Parts;
  private readonly windows: Windows;
  private readonly members: readonly number[];
  private readonly place = new Map<number, number>();
  private readonly activities: Activity[] = [];
  private readonly lags: Lag[] = [];
  /** Groups of the whole problem, in the order of the part's first groups. */
  readonly groups: readonly number[];
  looks = 0;

  constructor(parts: Parts, windows: Windows, members: readonly number[]) {
    this.parts = parts;
    this.windows = windows;
    this.members = members;
    this.activities.push({ least: 0, most: 0, release: 0, due: 0, rule: 0 });
    members.forEach((activity, i) => this.place.set(activity, i + 1));
    this.groups = members.flatMap((activity) => parts.groups[activity] ?? []);
  }

  private point(point: Point): Point {
    return 2 * (this.place.get(point >> 1) ?? 0) + (point & 1);
  }

  private fixed(from: number, to: number): number {
    this.activities.push({ least: to - from, most: to - from, release: from, due: to, rule: 0 });
    return this.activities.length - 1;
  }

  /** The problem, for which everything lies within `[from, to]`. */
  problem(settled: Settled, from: number, to: number, objective: readonly Level[]): Problem {
    this.addMembers(from, to);
    const resources = this.resources(settled, from, to);
    const { ovens, demands, groups } = this.ovens(settled, from, to);
    const { calendars } = this.parts.problem;
    return {
      activities: this.activities,
      lags: this.lags,
      resources,
      ovens,
      demands,
      groups,
      calendars,
      objective,
    };
  }

  /** Where its points are in a schedule of the whole; what is settled lies where it must. */
  timesOf({ times }: Schedule, { activities }: Problem): Int32Array {
    const found = Int32Array.from({ length: 2 * activities.length }, (_, point) => {
      const { release = 0, least = 0 } = activities[point >> 1] ?? {};
      return release + (point & 1) * least;
    });
    this.members.forEach((activity, i) => {
      found[startOf(i + 1)] = times[startOf(activity)] ?? 0;
      found[endOf(i + 1)] = times[endOf(activity)] ?? 0;
    });
    return found;
  }

  /** Where its groups go in a schedule of the whole. */
  ovensOf({ ovenOf }: Schedule, { groups }: Problem): Int32Array {
    return Int32Array.from(
      groups,
      ({ candidates }, place) => ovenOf[this.groups[place] ?? -1] ?? candidates[0] ?? -1,
    );
  }

  /** The sum of its starts, wanted late or early. */
  near(isLate: boolean): Level[] {
    const weight = isLate ? -1 : 1;
    return [
      {
        name: 'near',
        terms: this.members.map((activity) => ({ point: this.point(startOf(activity)), weight })),
      },
    ];
  }

  /** What the levels of the whole problem say of its activities. */
  levels(): Level[] {
    return this.parts.problem.objective.map(({ name, terms, overlaps = [] }) => ({
      name,
      terms: terms.flatMap(({ point, weight }) =>
        this.place.has(point >> 1) ? [{ point: this.point(point), weight }] : [],
      ),
      overlaps: overlaps.flatMap((overlap) => {
        const activity = this.place.get(overlap.activity);
        return activity === undefined ? [] : [{ ...overlap, activity }];
      }),
    }));
  }

  private addMembers(from: number, to: number): void {
    const { parts, windows, members } = this;
    for (const activity of members) {
      const whole = parts.problem.activities[activity];
      if (!whole) continue;
      const [start, end] = [startOf(activity), endOf(activity)];
      const release = Math.max(from, windows.earliest[start] ?? from);
      const due = Math.min(to, windows.latest[end] ?? to);
      this.activities.push({ ...whole, release, due });
      if (whole.least === whole.most) continue;
      this.lags.push({
        from: 0,
        to: this.point(end),
        weight: Math.max(from, windows.earliest[end] ?? from),
        rule: 0,
      });
      this.lags.push({
        from: this.point(start),
        to: 0,
        weight: -Math.min(to, windows.latest[start] ?? to),
        rule: 0,
      });
    }
    for (const activity of members)
      for (const lag of parts.lags[activity] ?? [])
        if (this.place.has(lag.to >> 1))
          this.lags.push({ ...lag, from: this.point(lag.from), to: this.point(lag.to) });
  }

  private resources(settled: Settled, from: number, to: number): Resource[] {
    const { parts } = this;
    const wanted = new Map<number, Claim[]>();
    for (const activity of this.members)
      for (const { resource, claim } of parts.claims[activity] ?? []) {
        const list = wanted.get(resource) ?? [];
        wanted.set(resource, list);
        list.push({ ...claim, from: this.point(claim.from), to: this.point(claim.to) });
      }
    return [...wanted].map(([resource, claims]) => {
      const taken = settled.profiles[resource]?.within(from, to) ?? [];
      this.looks += taken.length;
      for (const stretch of taken) {
        const activity = this.fixed(stretch.from, stretch.to);
        claims.push({ from: startOf(activity), to: endOf(activity), amount: stretch.amount, rule: 0 });
      }
      return { capacity: parts.problem.resources[resource]?.capacity ?? 0, claims };
    });
  }

  private ovens(settled: Settled, from: number, to: number): Pick<Problem, 'ovens' | 'demands' | 'groups'> {
    const { problem } = this.parts;
    const demands: StateDemand[] = [];
    const mine: StateDemand[] = [];
    const states: number[] = [];
    const groups = this.groups.map((group, place): { demands: number[]; candidates: readonly number[] } => {
      const whole = problem.groups[group];
      const first = demands.length;
      for (const index of whole?.demands ?? []) {
        const demand = problem.demands[index];
        if (!demand) continue;
        mine.push(demand);
        if (!states.includes(demand.state)) states.push(demand.state);
        demands.push({
          ...demand,
          start: this.point(demand.start),
          end: this.point(demand.end),
          state: states.indexOf(demand.state),
          group: place,
        });
      }
      return { demands: demands.slice(first).map((_, i) => first + i), candidates: whole?.candidates ?? [] };
    });
    if (mine.length === 0) return { ovens: [], demands: [], groups: [] };
    const candidates = new Set(groups.flatMap((group) => group.candidates));
    const ovens = problem.ovens.map((oven, index): StateResource => {
      if (!candidates.has(index)) return { capacity: 0, change: [], together: [], warmUp: [] };
      const widest = this.parts.widest[index] ?? 0;
      const near = (settled.ovens[index] ?? []).filter(
        (one) => one.to + widest >= from && one.from - widest <= to,
      );
      const runs = runsOf(
        oven,
        near,
        mine.map((demand) => ({ demand, least: this.leastOf(demand) })),
      );
      this.looks += (settled.ovens[index]?.length ?? 0) >> 3;
      const known = new Map<number, number>();
      runs.forEach((run, i) => {
        const { demand } = run.first;
        // A load that is settled stays in from one demand of its group to the next.
        const group = (run.count === 1 ? known.get(demand.group) : undefined) ?? groups.length;
        if (group === groups.length) groups.push({ demands: [], candidates: [index] });
        if (run.count === 1) known.set(demand.group, group);
        groups[group]?.demands.push(demands.length);
        const activity = this.fixed(run.from, run.to);
        demands.push({
          ...demand,
          shut: run.count === 1 && demand.shut,
          amount: run.count > 1 ? 0 : demand.amount,
          takesOver: false,
          settled: true,
          start: startOf(activity),
          end: endOf(activity),
          state: states.length + i,
          group,
        });
      });
      return this.ovenWith(oven, states, runs, from);
    });
    return { ovens, demands, groups };
  }

  private leastOf({ start, end }: StateDemand): number {
    return start >> 1 === end >> 1 ? (this.parts.problem.activities[start >> 1]?.least ?? 0) : 0;
  }

  /** An oven with a state of its own for each settled run, which keeps the longest way from and to anything in the run. */
  private ovenWith(
    oven: StateResource,
    states: readonly number[],
    runs: readonly Run[],
    from: number,
  ): StateResource {
    const { windows } = this;
    const none = runs.map(() => undefined);
    const loose = (point: Point | undefined, times: Float64Array): Point | undefined => {
      if (point === undefined) return undefined;
      if (this.place.has(point >> 1)) return this.point(point);
      const time = times[point] ?? 0;
      return startOf(this.fixed(time, time));
    };
    const begin = loose(oven.begin, windows.earliest);
    const finish = loose(oven.finish, windows.latest);
    return {
      capacity: oven.capacity,
      change: [
        ...states.map((state, i) => [
          ...states.map((other) => oven.change[state]?.[other] ?? 0),
          ...runs.map((run) => run.before[i] ?? 0),
        ]),
        ...runs.map((run) => [...states.map((_, i) => run.after[i] ?? 0), ...runs.map(() => 0)]),
      ],
      together: [
        ...states.map((state) => [
          ...states.map((other) => oven.together[state]?.[other] ?? false),
          ...runs.map((run) => run.count === 1 && (oven.together[state]?.[run.first.demand.state] ?? false)),
        ]),
        ...runs.map((run) => [
          ...states.map(
            (state) => run.count === 1 && (oven.together[run.first.demand.state]?.[state] ?? false),
          ),
          ...runs.map(() => true),
        ]),
      ],
      warmUp: [...states.map((state) => oven.warmUp[state]), ...none],
      ...(begin !== undefined && { begin }),
      ...(finish !== undefined && { finish }),
      ...(oven.ready && {
        ready: [...states.map((state) => oven.ready?.[state] ?? from), ...runs.map(() => from)],
      }),
    };
  }
}
