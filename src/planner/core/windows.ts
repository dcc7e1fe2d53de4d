import { horizonOf } from './horizon.ts';
import { endOf, startOf, type Point, type Problem } from './problem.ts';

/**
 * When each point of a problem may lie, by lags and lengths alone: the sparse counterpart of the network of all longest paths, for
 * problems too large for that. Points are settled one after the other; what follows for the others is drawn at once.
 */
export class Windows {
  earliest: Float64Array;
  latest: Float64Array;
  private readonly first: Int32Array;
  private readonly target: Int32Array;
  private readonly weight: Float64Array;
  private readonly firstInto: Int32Array;
  private readonly into: Int32Array;
  /** Times a point was moved since the last settled one: a circle that asks for ever more shows here. */
  private readonly moved: Int32Array;
  private queue: number[] = [];
  private queued: Uint8Array;
  work = 0;
  /** The point that was left no time; -1: none yet. */
  starved = -1;
  /** Spreading ends, without an answer, when the work is beyond this. */
  limit = Infinity;

  constructor(problem: Problem) {
    const edges = edgesOf(problem);
    const points = 2 * problem.activities.length;
    [this.first, this.target, this.weight] = outOf(points, edges);
    const back = edges.map(([from, to, weight], edge): Edge => [to, from, weight, edge]);
    [this.firstInto, this.into, this.weightInto] = outOf(points, back);
    const { from, to } = horizonOf(problem);
    this.earliest = new Float64Array(points).fill(from);
    this.latest = new Float64Array(points).fill(to);
    this.moved = new Int32Array(points);
    this.queued = new Uint8Array(points);
    this.work += points + edges.length;
  }

  private readonly weightInto: Float64Array;

  /** The same windows, to be narrowed on their own. */
  copy(): Windows {
    const copied = Object.assign(Object.create(Windows.prototype) as Windows, this);
    copied.earliest = this.earliest.slice();
    copied.latest = this.latest.slice();
    copied.queue = [];
    copied.work = 0;
    return copied;
  }

  /** Draws what follows from the releases and dues; false when somebody is left no time. */
  open(problem: Problem): boolean {
    problem.activities.forEach(({ release, due }, activity) => {
      const [start, end] = [startOf(activity), endOf(activity)];
      if (release !== undefined) this.earliest[start] = Math.max(this.earliest[start] ?? 0, release);
      if (due !== undefined) this.latest[end] = Math.min(this.latest[end] ?? 0, due);
      this.enqueue(start);
      this.enqueue(end);
    });
    return this.spread();
  }

  /** Draws what follows from bounds of points. */
  narrow(bounds: readonly (readonly [point: Point, least: number, most: number])[]): boolean {
    for (const [point, least, most] of bounds) {
      if (least <= (this.earliest[point] ?? 0) && most >= (this.latest[point] ?? 0)) continue;
      this.earliest[point] = Math.max(this.earliest[point] ?? 0, least);
      this.latest[point] = Math.min(this.latest[point] ?? 0, most);
      this.enqueue(point);
    }
    return this.spread();
  }

  /** Whether the work went beyond the limit, so that nothing it says is certain. */
  get isSpent(): boolean {
    return this.work > this.limit;
  }

  private enqueue(point: number): void {
    if (this.queued[point] === 1) return;
    this.queued[point] = 1;
    this.queue.push(point);
  }

  private spread(): boolean {
    this.moved.fill(0);
    this.work += this.moved.length >> 6;
    let fine = true;
    for (let head = 0; fine && head < this.queue.length && this.work <= this.limit; head += 1) {
      const point = this.queue[head] ?? 0;
      this.queued[point] = 0;
      fine = this.visit(point);
    }
    for (const point of this.queue) this.queued[point] = 0;
    this.queue.length = 0;
    return fine;
  }

  private visit(point: number): boolean {
    const { earliest, latest, first, firstInto } = this;
    const low = earliest[point] ?? 0;
    const high = latest[point] ?? 0;
    this.moved[point] = (this.moved[point] ?? 0) + 1;
    // Without a circle, a first-in first-out queue moves no point more often than there are points.
    if (low > high || (this.moved[point] ?? 0) > 2 * this.moved.length) {
      this.starved = point;
      return false;
    }
    const end = first[point + 1] ?? 0;
    for (let edge = first[point] ?? 0; edge < end; edge += 1) {
      const to = this.target[edge] ?? 0;
      const bound = low + (this.weight[edge] ?? 0);
      if (bound <= (earliest[to] ?? 0)) continue;
      earliest[to] = bound;
      this.enqueue(to);
    }
    const endInto = firstInto[point + 1] ?? 0;
    for (let edge = firstInto[point] ?? 0; edge < endInto; edge += 1) {
      const from = this.into[edge] ?? 0;
      const bound = high - (this.weightInto[edge] ?? 0);
      if (bound >= (latest[from] ?? 0)) continue;
      latest[from] = bound;
      this.enqueue(from);
    }
    this.work += 1 + ((end - (first[point] ?? 0) + endInto - (firstInto[point] ?? 0)) >> 2);
    return true;
  }
}

type Edge = readonly [from: number, to: number, weight: number, edge?: number];

/** Lags, lengths, and the order of demands that every schedule must keep. */
function edgesOf(problem: Problem): Edge[] {
  const edges: Edge[] = problem.lags.map(({ from, to, weight }) => [from, to, weight]);
  problem.activities.forEach(({ least, most }, activity) => {
    edges.push([startOf(activity), endOf(activity), least]);
    if (most < Infinity) edges.push([endOf(activity), startOf(activity), -most]);
  });
  for (const { demands } of problem.groups)
    demands.slice(1).forEach((index, place) => {
      const before = problem.demands[demands[place] ?? -1];
      const demand = problem.demands[index];
      if (before && demand) edges.push([before.end, demand.start, 0]);
    });
  return edges;
}

function outOf(points: number, edges: readonly Edge[]): [Int32Array, Int32Array, Float64Array] {
  const first = new Int32Array(points + 1);
  for (const [from] of edges) first[from + 1] = (first[from + 1] ?? 0) + 1;
  for (let point = 0; point < points; point += 1)
    first[point + 1] = (first[point + 1] ?? 0) + (first[point] ?? 0);
  const next = first.slice();
  const target = new Int32Array(edges.length);
  const weight = new Float64Array(edges.length);
  for (const [from, to, length] of edges) {
    const at = next[from] ?? 0;
    next[from] = at + 1;
    target[at] = to;
    weight[at] = length;
  }
  return [first, target, weight];
}
