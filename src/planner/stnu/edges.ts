/** Where an edge comes from that does not follow from others. */
export const IMPLIED = -1;
const DERIVED = -2;

/** An ordinary edge carries no label; a labelled one is a wait for the contingent link of that number. */
export const NO_LABEL = -1;

/**
 * Edges `x[to] - x[from] <= weight`, given and derived. A derived one is two others end to end, `from -> via -> to`, so that it can be
 * traced back to what was given. Flat arrays that grow; an edge is a number.
 */
export class EdgeStore {
  count = 0;
  from: Int32Array;
  to: Int32Array;
  weight: Float64Array;
  label: Int32Array;
  /** By edge: a code of the one who made it, IMPLIED or DERIVED. */
  origin: Int32Array;
  /** The next ordinary edge into the same point, or -1. */
  nextInto: Int32Array;
  /** By point: its newest ordinary edge, or -1. */
  readonly lastInto: Int32Array;
  private first: Int32Array;
  private second: Int32Array;

  /** @param room for so many edges at first. */
  constructor(points: number, room: number) {
    this.lastInto = new Int32Array(points).fill(-1);
    this.from = new Int32Array(room);
    this.to = new Int32Array(room);
    this.label = new Int32Array(room);
    this.origin = new Int32Array(room);
    this.nextInto = new Int32Array(room);
    this.first = new Int32Array(room);
    this.second = new Int32Array(room);
    this.weight = new Float64Array(room);
  }

  /** Adds an edge with an origin. Only ordinary edges that are not `apart` are found by way of their end. */
  add(from: number, to: number, weight: number, origin: number, label = NO_LABEL, apart = false): number {
    const edge = this.count;
    if (edge === this.from.length) this.grow();
    this.count += 1;
    this.from[edge] = from;
    this.to[edge] = to;
    this.weight[edge] = weight;
    this.label[edge] = label;
    this.origin[edge] = origin;
    this.first[edge] = -1;
    this.second[edge] = -1;
    if (label === NO_LABEL && !apart) {
      this.nextInto[edge] = this.lastInto[to] ?? -1;
      this.lastInto[to] = edge;
    }
    return edge;
  }

  /** Adds what follows from two edges end to end. */
  join(first: number, second: number, label: number): number {
    const weight = (this.weight[first] ?? 0) + (this.weight[second] ?? 0);
    const edge = this.add(this.from[first] ?? 0, this.to[second] ?? 0, weight, DERIVED, label);
    this.first[edge] = first;
    this.second[edge] = second;
    return edge;
  }

  /** The origins behind edges, in order, each once; those implied are left out. */
  trace(edges: readonly number[]): number[] {
    const origins = new Set<number>();
    const seen = new Set<number>();
    const open = edges.toReversed();
    for (let edge = open.pop(); edge !== undefined; edge = open.pop()) {
      if (seen.has(edge)) continue;
      seen.add(edge);
      const origin = this.origin[edge] ?? IMPLIED;
      if (origin === DERIVED) open.push(this.second[edge] ?? 0, this.first[edge] ?? 0);
      else if (origin !== IMPLIED) origins.add(origin);
    }
    return [...origins];
  }

  private grow(): void {
    const size = 2 * this.from.length;
    const longer = (array: Int32Array): Int32Array<ArrayBuffer> => {
      const copy = new Int32Array(size);
      copy.set(array);
      return copy;
    };
    this.from = longer(this.from);
    this.to = longer(this.to);
    this.label = longer(this.label);
    this.origin = longer(this.origin);
    this.nextInto = longer(this.nextInto);
    this.first = longer(this.first);
    this.second = longer(this.second);
    const weight = new Float64Array(size);
    weight.set(this.weight);
    this.weight = weight;
  }
}
