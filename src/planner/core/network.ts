/** No path: far below any distance, and no sum of two of them overflows. */
const NONE = -(2 ** 30);

/**
 * Longest paths between all nodes, and the earliest and latest time of each. Distances that only hold by way of absolute times are kept
 * out of the matrix (they would fill it) and reckoned when asked for.
 */
export class Network {
  readonly size: number;
  readonly earliest: number[];
  readonly latest: number[];
  private readonly paths: Int32Array;
  private readonly lags: [from: number, to: number, weight: number][] = [];
  private closed = false;
  work = 0;

  constructor(size: number) {
    this.size = size;
    this.paths = new Int32Array(size * size).fill(NONE);
    for (let i = 0; i < size; i += 1) this.paths[i * size + i] = 0;
    this.earliest = Array.from({ length: size }, () => -Infinity);
    this.latest = Array.from({ length: size }, () => Infinity);
  }

  /** Another variable that no path leads to, such as a choice; its number. */
  addLoose(least: number, most: number): number {
    this.earliest.push(least);
    this.latest.push(most);
    return this.earliest.length - 1;
  }

  /** The greatest w for which `x[to] >= x[from] + w` is known. */
  distance(from: number, to: number): number {
    const byTime = (this.earliest[to] ?? 0) - (this.latest[from] ?? 0);
    if (from >= this.size || to >= this.size) return from === to ? 0 : byTime;
    return Math.max(this.paths[from * this.size + to] ?? NONE, byTime);
  }

  /** The longest path between two nodes, without absolute times. */
  path(from: number, to: number): number | undefined {
    const path = this.paths[from * this.size + to] ?? NONE;
    return path > NONE ? path : undefined;
  }

  /** Adds `x[to] >= x[from] + weight`; false when it closes a circle or leaves somebody no time. */
  add(from: number, to: number, weight: number): boolean {
    this.lags.push([from, to, weight]);
    if (!this.closed) {
      const at = from * this.size + to;
      this.paths[at] = Math.max(this.paths[at] ?? NONE, weight);
      return from !== to || weight <= 0;
    }
    return this.extend(from, to, weight);
  }

  /** The time of a node is at least, or at most, so much. */
  atLeast(node: number, time: number): boolean {
    if (time <= (this.earliest[node] ?? 0)) return true;
    if (node >= this.size || !this.closed) this.earliest[node] = time;
    else
      for (let j = 0; j < this.size; j += 1) {
        const path = this.paths[node * this.size + j] ?? NONE;
        if (path > NONE) this.earliest[j] = Math.max(this.earliest[j] ?? 0, time + path);
      }
    return this.isTimely();
  }

  atMost(node: number, time: number): boolean {
    if (time >= (this.latest[node] ?? 0)) return true;
    if (node >= this.size || !this.closed) this.latest[node] = time;
    else
      for (let i = 0; i < this.size; i += 1) {
        const path = this.paths[i * this.size + node] ?? NONE;
        if (path > NONE) this.latest[i] = Math.min(this.latest[i] ?? 0, time - path);
      }
    return this.isTimely();
  }

  private isTimely(): boolean {
    for (let i = 0; i < this.earliest.length; i += 1)
      if ((this.earliest[i] ?? 0) > (this.latest[i] ?? 0)) return false;
    return true;
  }

  /** Reckons all paths and times (Floyd and Warshall, skipping what is not connected); false when there is a circle. */
  close(): boolean {
    if (this.closed) return true;
    const { size, paths } = this;
    for (let k = 0; k < size; k += 1) {
      const out: number[] = [];
      for (let j = 0; j < size; j += 1) if (j !== k && (paths[k * size + j] ?? NONE) > NONE) out.push(j);
      if (out.length === 0) continue;
      for (let i = 0; i < size; i += 1) {
        const into = paths[i * size + k] ?? NONE;
        if (into <= NONE || i === k) continue;
        this.work += out.length;
        const row = i * size;
        for (const j of out) {
          const path = into + (paths[k * size + j] ?? NONE);
          if (path > (paths[row + j] ?? NONE)) paths[row + j] = path;
        }
        if ((paths[row + i] ?? 0) > 0) return false;
      }
    }
    this.closed = true;
    return this.spreadTimes();
  }

  private spreadTimes(): boolean {
    const { size, paths } = this;
    const [earliest, latest] = [this.earliest.slice(0, size), this.latest.slice(0, size)];
    for (let i = 0; i < size; i += 1)
      for (let j = 0; j < size; j += 1) {
        const path = paths[i * size + j] ?? NONE;
        if (path <= NONE) continue;
        this.earliest[j] = Math.max(this.earliest[j] ?? 0, (earliest[i] ?? 0) + path);
        this.latest[i] = Math.min(this.latest[i] ?? 0, (latest[j] ?? 0) - path);
      }
    return this.isTimely();
  }

  private extend(from: number, to: number, weight: number): boolean {
    const { size, paths, earliest, latest } = this;
    if (weight <= (paths[from * size + to] ?? NONE)) return true;
    if ((paths[to * size + from] ?? NONE) + weight > 0) return false;
    const out: number[] = [];
    for (let j = 0; j < size; j += 1) {
      const path = paths[to * size + j] ?? NONE;
      if (path <= NONE) continue;
      out.push(j);
      earliest[j] = Math.max(earliest[j] ?? 0, (earliest[from] ?? 0) + weight + path);
    }
    for (let i = 0; i < size; i += 1) {
      const into = paths[i * size + from] ?? NONE;
      if (into <= NONE) continue;
      latest[i] = Math.min(latest[i] ?? 0, (latest[to] ?? 0) - weight - into);
      this.work += out.length;
      for (const j of out) {
        const path = into + weight + (paths[to * size + j] ?? NONE);
        if (path > (paths[i * size + j] ?? NONE)) paths[i * size + j] = path;
      }
    }
    return this.isTimely();
  }

  /** Whether the second node is at a fixed distance from the first. */
  isRigid(one: number, other: number): boolean {
    const there = this.paths[one * this.size + other] ?? NONE;
    const back = this.paths[other * this.size + one] ?? NONE;
    return there > NONE && back > NONE && there + back === 0;
  }

  /**
   * Lags between leaders (of nodes that move together one leads) that do not follow from two others. The leaders' numbers are
   * their variables, given by the view.
   */
  essential(
    viewOf: (node: number) => { readonly variable: number; readonly offset: number },
  ): readonly (readonly [from: number, to: number, weight: number])[] {
    const { size, paths } = this;
    const leaders: number[] = [];
    for (let node = 0; node < size; node += 1)
      if (leaders[viewOf(node).variable] === undefined) leaders[viewOf(node).variable] = node;
    const nodes = leaders.filter((node) => node !== undefined);
    const seen = new Set<number>();
    return this.lags.flatMap(([first, second, weight]): (readonly [number, number, number])[] => {
      const [a, b] = [viewOf(first), viewOf(second)];
      if (a.variable === b.variable) return [];
      const [from, to] = [leaders[a.variable] ?? 0, leaders[b.variable] ?? 0];
      const between = weight + a.offset - b.offset;
      const key = from * size + to;
      if (seen.has(key) || between < (paths[key] ?? NONE)) return [];
      for (const k of nodes) {
        if (k === from || k === to) continue;
        const path = paths[from * size + k] ?? NONE;
        const onward = paths[k * size + to] ?? NONE;
        if (path > NONE && onward > NONE && path + onward >= between) return [];
      }
      seen.add(key);
      return [[a.variable, b.variable, between]];
    });
  }
}
