/** A binary heap of numbered things by key, the least first. A key may be lowered; a thing is in it at most once. */
export class Heap {
  private readonly things: Int32Array;
  private readonly places: Int32Array;
  private readonly keys: Float64Array;
  private count = 0;

  /** `keys` is the caller's: a key is lowered there first, and then told with {@link put}. */
  constructor(keys: Float64Array) {
    this.keys = keys;
    this.things = new Int32Array(keys.length);
    this.places = new Int32Array(keys.length).fill(-1);
  }

  clear(): void {
    for (let i = 0; i < this.count; i += 1) this.places[this.things[i] ?? 0] = -1;
    this.count = 0;
  }

  /** The first thing, or -1. */
  get first(): number {
    return this.count > 0 ? (this.things[0] ?? -1) : -1;
  }

  /** Puts a thing in, or moves it after its key was lowered. */
  put(thing: number): void {
    let place = this.places[thing] ?? -1;
    if (place < 0) {
      place = this.count;
      this.count += 1;
    }
    const key = this.keys[thing] ?? 0;
    while (place > 0) {
      const above = (place - 1) >> 1;
      const other = this.things[above] ?? 0;
      if ((this.keys[other] ?? 0) <= key) break;
      this.things[place] = other;
      this.places[other] = place;
      place = above;
    }
    this.things[place] = thing;
    this.places[thing] = place;
  }

  /** Takes the first thing out. */
  pop(): void {
    const first = this.first;
    if (first < 0) return;
    this.places[first] = -1;
    this.count -= 1;
    if (this.count === 0) return;
    const last = this.things[this.count] ?? 0;
    const key = this.keys[last] ?? 0;
    let place = 0;
    for (;;) {
      let below = 2 * place + 1;
      if (below >= this.count) break;
      const right = this.things[below + 1] ?? 0;
      if (below + 1 < this.count && (this.keys[right] ?? 0) < (this.keys[this.things[below] ?? 0] ?? 0))
        below += 1;
      const other = this.things[below] ?? 0;
      if ((this.keys[other] ?? 0) >= key) break;
      this.things[place] = other;
      this.places[other] = place;
      place = below;
    }
    this.things[place] = last;
    this.places[last] = place;
  }
}
