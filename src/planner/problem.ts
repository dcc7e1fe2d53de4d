/**
 * A plain scheduling problem: points in time, least distances between them, resources with a capacity, and ovens that
 * have a state. It knows nothing of pastry, plans or clocks, so that any search can be put to it and measured alone.
 *
 * Times are whole seconds. Point {@link ORIGIN} stands at 0 and every other point at or before it; point {@link FIRST} stands
 * at or before everything that has to be done, so that its latest place is when work must begin.
 */
export interface Problem {
  /** How many points there are; they are numbered from 0. */
  readonly points: number;
  readonly lags: readonly Lag[];
  /** Points whose sum is made as large as possible once FIRST is as late as it can be. */
  readonly starts: readonly number[];
  readonly resources: readonly Resource[];
  readonly ovens: readonly OvenModel[];
  readonly demands: readonly Demand[];
  readonly groups: readonly Group[];
}

export const ORIGIN = 0;
export const FIRST = 1;

/** `x[to] >= x[from] + weight`. */
export interface Edge {
  readonly from: number;
  readonly to: number;
  readonly weight: number;
}

/** A least distance that always holds; `rule` says which demand of the outside world it came from. */
export interface Lag extends Edge {
  readonly rule: number;
}

/** So much of a resource is taken over the half-open stretch `[from, to)`; a stretch without length takes nothing. */
export interface Block {
  readonly from: number;
  readonly to: number;
  readonly amount: number;
  /** Whether the stretch may have no length. */
  readonly mayVanish: boolean;
  readonly rule: number;
}

export interface Resource {
  readonly name: string;
  readonly capacity: number;
  readonly blocks: readonly Block[];
}

/** How an oven's temperature moves: rates in degrees a second, soak in seconds. */
export interface OvenModel {
  readonly shelves: number;
  readonly heats: number;
  readonly cools: number;
  readonly tolerance: number;
  readonly soak: number;
  readonly ambient: number;
}

/** An oven wanted in one state over `[start, end)`. */
export interface Demand {
  readonly start: number;
  readonly end: number;
  /** Degrees; undefined: switched off. */
  readonly temperature: number | undefined;
  /** Nothing may go in or out strictly inside the stretch. */
  readonly shut: boolean;
  /** The oven is not shared: it is off, or its door stands ajar. */
  readonly alone: boolean;
  readonly shelves: number;
  /** Whether the stretch may have no length: it then asks nothing. */
  readonly mayVanish: boolean;
  readonly group: number;
  /** The demand directly before and after it in its group. */
  readonly before: number | undefined;
  readonly after: number | undefined;
  readonly rule: number;
}

/** Demands in order that go to one and the same oven. */
export interface Group {
  readonly demands: readonly number[];
  /** Indexes of ovens that will do. */
  readonly candidates: readonly number[];
}

/** A problem without everything that came from the given rules. */
export function without(problem: Problem, rules: ReadonlySet<number>): Problem {
  const stays = (part: { readonly rule: number }): boolean => !rules.has(part.rule);
  const kept = (index: number | undefined): number | undefined => {
    const demand = index === undefined ? undefined : problem.demands[index];
    return demand && stays(demand) ? index : undefined;
  };
  return {
    ...problem,
    lags: problem.lags.filter(stays),
    resources: problem.resources.map((resource) => ({ ...resource, blocks: resource.blocks.filter(stays) })),
    demands: problem.demands.map((demand) => ({
      ...demand,
      before: kept(demand.before),
      after: kept(demand.after),
    })),
    groups: problem.groups.map((group) => ({
      ...group,
      demands: group.demands.filter((index) => kept(index) !== undefined),
    })),
  };
}
