import type { Differences } from './differences.ts';
import type { Edges } from './edges.ts';
import { DIFFERENCE, EDGE, type Store } from './store.ts';

/** A side that moves this often in one go is looked into, and again after as many moves more. */
const SUSPICIOUS = 8;

/**
 * Finds distances that go round in a circle and come out later than they began. Bounds alone would creep round such a circle to the
 * end of time, a step each turn; here the differences on it are the failure, whatever the times are.
 */
export class Cycles {
  private readonly store: Store;
  private readonly edges: Edges;
  private readonly differences: Differences;
  /** By side: in which go it was moved last, and how often in that. */
  private round = new Int32Array(0);
  private moves = new Int32Array(0);
  private now = 0;

  constructor(store: Store, edges: Edges, differences: Differences) {
    this.store = store;
    this.edges = edges;
    this.differences = differences;
  }

  freeze(): void {
    this.round = new Int32Array(2 * this.store.variables);
    this.moves = new Int32Array(2 * this.store.variables);
  }

  /** From here on moves are counted anew. */
  begin(): void {
    this.now += 1;
  }

  /** Counts a move of a side; false, with the failure noted, when it goes round in a circle. */
  isSound(entry: number): boolean {
    const side = this.store.trailSide[entry] ?? 0;
    if (this.round[side] !== this.now) {
      this.round[side] = this.now;
      this.moves[side] = 0;
    }
    const moves = (this.moves[side] ?? 0) + 1;
    this.moves[side] = moves;
    return moves % SUSPICIOUS !== 0 || !this.goesRound(side, entry);
  }

  /** Walks back from cause to cause. Each move is later than the one before, so a side that is met again lies on a circle. */
  private goesRound(side: number, entry: number): boolean {
    const { store, edges, differences } = this;
    const run = store.openRun();
    let at = entry;
    for (let steps = 0; steps < 2 * store.variables; steps += 1) {
      const kind = store.trailKind[at] ?? 0;
      const data = store.trailData[at] ?? 0;
      let source = -1;
      if (kind === EDGE) source = edges.sourceOf(data);
      else if (kind === DIFFERENCE) {
        const through = differences.throughOf(data, store.trailSide[at] ?? 0);
        if (through >= 0) {
          source = differences.otherOf(data, store.trailSide[at] ?? 0);
          store.keep(run, through, store.valBefore(through, at));
        }
      }
      store.work += 1;
      if (source < 0) break;
      at = store.entryBefore(source, at);
      if (source === side) {
        store.fail(run);
        return true;
      }
    }
    store.dropRun(run);
    return false;
  }
}
