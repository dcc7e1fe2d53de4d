import { EdgeStore, IMPLIED, NO_LABEL } from './edges.ts';
import { Heap } from './heap.ts';
import type { UncertainNetwork } from './network.ts';

/** A circle of edges that nature can make negative. */
export interface NegativeCircle {
  readonly edges: readonly number[];
  readonly length: number;
}

/** Origins of edges: links are numbered first, then for each contingent link its low and its high side. */
const originOfLow = ({ links }: UncertainNetwork, contingent: number): number =>
  links.length + 2 * contingent;
const originOfHigh = ({ links }: UncertainNetwork, contingent: number): number =>
  links.length + 2 * contingent + 1;

const UNTOUCHED = 0;
const OPEN = 1;
const SETTLED = 2;

/**
 * Back-propagation from negative nodes: P. Morris, Dynamic controllability and dispatchability relationships (CPAIOR 2014), in
 * O(n^3). From every point into which a negative edge leads, distances are propagated backwards over edges that are not negative, as
 * Dijkstra does, for as long as they stay negative; a negative node met on the way is settled first, and one that is still
 * open closes a circle. Where a distance comes about over the end of a contingent link, it goes on from the link's start with
 * the least length (lower-case edge); propagation from the greatest length (upper-case edge) gives waits, which become
 * ordinary edges once no more than the least length is waited. As in A. Cairo, L. Hunsberger and R. Rizzi (TIME 2018), contingent links are not
 * split in two first. Edges of negative length are kept too: with them the network can be dispatched.
 */
export class BackPropagation {
  readonly edges: EdgeStore;
  private readonly network: UncertainNetwork;
  /** By point: the contingent link that ends there, or -1. */
  private readonly ending: Int32Array;
  private readonly starting: number[][];
  private readonly lowEdge: Int32Array;
  private readonly highEdge: Int32Array;
  private readonly state: Uint8Array;
  private readonly spare: Frame[] = [];

  constructor(network: UncertainNetwork) {
    const { points, links, contingent } = network;
    this.network = network;
    this.edges = new EdgeStore(points, 4 * (points + links.length + contingent.length));
    this.ending = new Int32Array(points).fill(-1);
    this.starting = Array.from({ length: points }, () => []);
    this.state = new Uint8Array(points);
    this.lowEdge = new Int32Array(contingent.length);
    this.highEdge = new Int32Array(contingent.length);
    for (let point = 1; point < points; point += 1) this.edges.add(point, 0, 0, IMPLIED);
    links.forEach(({ from, to, weight }, index) => this.edges.add(from, to, weight, index));
    contingent.forEach(({ start, end, low, high }, index) => {
      this.ending[end] = index;
      this.starting[start]?.push(index);
      this.lowEdge[index] = this.edges.add(start, end, low, originOfLow(network, index), NO_LABEL, true);
      this.highEdge[index] = this.edges.add(end, start, -high, originOfHigh(network, index), index);
    });
  }

  /** Settles the points in the order given; the first negative circle met, or undefined when there is none. */
  run(order: readonly number[]): NegativeCircle | undefined {
    for (const point of order) {
      const circle = this.settle(point);
      if (circle) return circle;
    }
    return undefined;
  }

  private isNegative(point: number): boolean {
    if ((this.starting[point]?.length ?? 0) > 0) return true;
    const { lastInto, nextInto, weight } = this.edges;
    for (let edge = lastInto[point] ?? -1; edge >= 0; edge = nextInto[edge] ?? -1)
      if ((weight[edge] ?? 0) < 0) return true;
    return false;
  }

  private settle(root: number): NegativeCircle | undefined {
    const frames: Frame[] = [];
    this.enter(root, frames);
    for (let frame = frames.at(-1); frame; frame = frames.at(-1)) {
      const met = this.advance(frame);
      if (typeof met === 'object') return met;
      if (met < 0) {
        this.state[frame.source] = SETTLED;
        frames.pop();
        this.spare.push(frame);
      } else if (this.state[met] === OPEN) {
        const circle = frames.slice(frames.findIndex(({ source }) => source === met)).toReversed();
        const edges = circle.map((each) => this.edgeTo(each, each.heap.first));
        return {
          edges,
          length: edges.reduce((sum, edge) => sum + (this.edges.weight[edge] ?? 0), 0),
        };
      } else this.enter(met, frames);
    }
    return undefined;
  }

  private enter(point: number, frames: Frame[]): void {
    if (this.state[point] !== UNTOUCHED) return;
    if (!this.isNegative(point)) {
      this.state[point] = SETTLED;
      return;
    }
    this.state[point] = OPEN;
    const frame = this.spare.pop() ?? new Frame(this.network.points);
    frame.source = point;
    frame.phase = -1;
    frames.push(frame);
  }

  /** Goes on until a point must be settled first (its number), all is done (-1), or a circle closes. */
  private advance(frame: Frame): number | NegativeCircle {
    for (;;) {
      const point = frame.heap.first;
      if (point < 0) {
        if (!this.nextPhase(frame)) return -1;
        continue;
      }
      const distance = frame.distance[point] ?? 0;
      if (distance < 0 && this.state[point] !== SETTLED && this.isNegative(point)) return point;
      const edge = this.edgeTo(frame, point);
      frame.heap.pop();
      if (distance >= 0) continue;
      frame.edge[point] = edge;
      const circle = this.spread(frame, point);
      if (circle) return circle;
    }
  }

  /** Begins with the next contingent link that starts at the source, or with its ordinary edges; false when both are done. */
  private nextPhase(frame: Frame): boolean {
    const starting = this.starting[frame.source] ?? [];
    frame.phase += 1;
    if (frame.phase > starting.length) return false;
    frame.begin(this.edges);
    const contingent = starting[frame.phase];
    if (contingent !== undefined) {
      const link = this.network.contingent[contingent];
      frame.label = contingent;
      frame.offset = link?.low ?? 0;
      const edge = this.highEdge[contingent] ?? 0;
      frame.reach(link?.end ?? 0, (link?.low ?? 0) - (link?.high ?? 0), edge);
      return true;
    }
    frame.label = NO_LABEL;
    frame.offset = 0;
    const { lastInto, nextInto, weight, from } = this.edges;
    for (let edge = lastInto[frame.source] ?? -1; edge >= 0; edge = nextInto[edge] ?? -1) {
      const length = weight[edge] ?? 0;
      const point = from[edge] ?? 0;
      if (length < 0 && length < (frame.distance[point] ?? 0)) frame.reach(point, length, edge);
    }
    return true;
  }

  /** The edge from a point reached to the source: the one it began with, one that is known already, or a new one. */
  private edgeTo(frame: Frame, point: number): number {
    const { edges } = this;
    const first = frame.first[point] ?? 0;
    const length = (frame.distance[point] ?? 0) - frame.offset;
    const waits = (frame.distance[point] ?? 0) < 0 ? frame.label : NO_LABEL;
    if (edges.to[first] === frame.source && edges.from[first] === point && !frame.through[point])
      return waits === edges.label[first]
        ? first
        : edges.add(point, frame.source, length, edges.origin[first] ?? 0);
    const known = frame.known[point] ?? -1;
    if (waits === NO_LABEL && known >= 0 && (edges.weight[known] ?? 0) <= length) return known;
    return edges.join(first, frame.edge[edges.to[first] ?? 0] ?? 0, waits);
  }

  private spread(frame: Frame, point: number): NegativeCircle | undefined {
    const { lastInto, nextInto, weight, from } = this.edges;
    const distance = frame.distance[point] ?? 0;
    const contingent = this.ending[point] ?? -1;
    if (contingent >= 0 && contingent !== frame.label) {
      const edge = this.lowEdge[contingent] ?? 0;
      const circle = this.relax(frame, edge, from[edge] ?? 0, distance + (weight[edge] ?? 0));
      if (circle) return circle;
    }
    for (let edge = lastInto[point] ?? -1; edge >= 0; edge = nextInto[edge] ?? -1) {
      const length = weight[edge] ?? 0;
      if (length < 0) continue;
      const circle = this.relax(frame, edge, from[edge] ?? 0, distance + length);
      if (circle) return circle;
    }
    return undefined;
  }

  private relax(frame: Frame, edge: number, from: number, distance: number): NegativeCircle | undefined {
    if (from === frame.source) {
      if (distance >= frame.offset) return undefined;
      return {
        edges: [edge, frame.edge[this.edges.to[edge] ?? 0] ?? 0],
        length: distance - frame.offset,
      };
    }
    if (distance < (frame.distance[from] ?? 0)) {
      frame.reach(from, distance, edge);
      frame.through[from] = 1;
    }
    return undefined;
  }
}

/** What is known while one point is being settled. */
class Frame {
  source = 0;
  /** Which of the contingent links that start at the source is under way; their count: its ordinary edges. */
  phase = -1;
  label = NO_LABEL;
  /** Distances are measured to so much after the source. */
  offset = 0;
  readonly distance: Float64Array;
  readonly heap: Heap;
  /** By point reached: the first edge of its path to the source, and whether there are more. */
  readonly first: Int32Array;
  readonly through: Uint8Array;
  /** By point taken from the heap: the edge that is its path. */
  readonly edge: Int32Array;
  /** By point: the tightest ordinary edge to the source so far, or -1. */
  readonly known: Int32Array;

  constructor(points: number) {
    this.distance = new Float64Array(points);
    this.heap = new Heap(this.distance);
    this.first = new Int32Array(points);
    this.through = new Uint8Array(points);
    this.edge = new Int32Array(points);
    this.known = new Int32Array(points);
  }

  begin({ lastInto, nextInto, from, weight }: EdgeStore): void {
    this.distance.fill(Infinity);
    this.through.fill(0);
    this.known.fill(-1);
    this.heap.clear();
    for (let edge = lastInto[this.source] ?? -1; edge >= 0; edge = nextInto[edge] ?? -1) {
      const point = from[edge] ?? 0;
      const known = this.known[point] ?? -1;
      if (known < 0 || (weight[edge] ?? 0) < (weight[known] ?? 0)) this.known[point] = edge;
    }
  }

  reach(point: number, distance: number, edge: number): void {
    this.distance[point] = distance;
    this.first[point] = edge;
    this.heap.put(point);
  }
}
