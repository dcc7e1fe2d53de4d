/**
 * Bounds of whole-number variables, and the trail of how they came about.
 *
 * Variable v has two sides: side 2v stands for v itself, side 2v + 1 for -v. `val[side]` is the least value that the side can
 * have, so that -val[2v + 1] is the greatest of v. An *atom* (side, bound) says "side >= bound"; its opposite is the atom
 * (side ^ 1, 1 - bound). Atoms are never made into objects of their own: a day in seconds costs nothing.
 */
export class Store {
  variables = 0;
  /** By side: the present bound, the last trail entry, and the bound up to which everybody has been told. */
  val = new Int32Array(64);
  top = new Int32Array(64);
  told = new Int32Array(64);

  /** By entry: what was bounded, how far, the entry of the same side before it, and why. */
  trailSide = new Int32Array(256);
  trailVal = new Int32Array(256);
  trailPrev = new Int32Array(256);
  trailKind = new Uint8Array(256);
  trailData = new Int32Array(256);
  length = 0;
  /** The first entry that nobody has been told of. */
  head = 0;

  level = 0;
  levelStart = new Int32Array(256);
  private levelAtoms = new Int32Array(256);

  /** Runs of atoms kept as reasons: their number, then side and bound of each. */
  atoms = new Int32Array(256);
  atomsLength = 0;

  /** What has been looked at so far. */
  work = 0;

  /** The bound that could not be met; side -1: the run of atoms at `failData` cannot hold together. */
  failSide = -1;
  failBound = 0;
  failKind = 0;
  failData = 0;

  addVariable(least: number, most: number): number {
    const variable = this.variables;
    this.variables += 1;
    if (2 * this.variables > this.val.length) {
      this.val = grown(this.val);
      this.top = grown(this.top);
      this.told = grown(this.told);
    }
    for (const [side, bound] of [
      [2 * variable, least],
      [2 * variable + 1, -most],
    ] as const) {
      this.top[side] = -1;
      this.append(side, bound, ROOT, 0);
      this.told[side] = bound;
    }
    return variable;
  }

  least(variable: number): number {
    return this.val[2 * variable] ?? 0;
  }

  most(variable: number): number {
    return -(this.val[2 * variable + 1] ?? 0);
  }

  isTrue(side: number, bound: number): boolean {
    return (this.val[side] ?? 0) >= bound;
  }

  isFalse(side: number, bound: number): boolean {
    return (this.val[side ^ 1] ?? 0) >= 1 - bound;
  }

  /** Makes "side >= bound" hold; false, with the failure noted, when it cannot. */
  set(side: number, bound: number, kind: number, data: number): boolean {
    if (bound <= (this.val[side] ?? 0)) return true;
    if (bound + (this.val[side ^ 1] ?? 0) > 0) {
      this.failSide = side;
      this.failBound = bound;
      this.failKind = kind;
      this.failData = data;
      return false;
    }
    this.append(side, bound, kind, data);
    return true;
  }

  private append(side: number, bound: number, kind: number, data: number): void {
    const at = this.length;
    if (at === this.trailSide.length) this.growTrail();
    this.trailSide[at] = side;
    this.trailVal[at] = bound;
    this.trailPrev[at] = this.top[side] ?? 0;
    this.trailKind[at] = kind;
    this.trailData[at] = data;
    this.top[side] = at;
    this.val[side] = bound;
    this.length = at + 1;
  }

  private growTrail(): void {
    this.trailSide = grown(this.trailSide);
    this.trailVal = grown(this.trailVal);
    this.trailPrev = grown(this.trailPrev);
    this.trailData = grown(this.trailData);
    const kinds = new Uint8Array(2 * this.trailKind.length);
    kinds.set(this.trailKind);
    this.trailKind = kinds;
  }

  /** Notes that the run of atoms at this place cannot hold together; always false. */
  fail(run: number): false {
    this.failSide = -1;
    this.failKind = STORED;
    this.failData = run;
    return false;
  }

  /** Opens a run of atoms; {@link keep} adds to it. */
  openRun(): number {
    if (this.atomsLength + 1 >= this.atoms.length) this.atoms = grown(this.atoms);
    const run = this.atomsLength;
    this.atoms[run] = 0;
    this.atomsLength = run + 1;
    return run;
  }

  keep(run: number, side: number, bound: number): void {
    if (this.atomsLength + 2 >= this.atoms.length) this.atoms = grown(this.atoms);
    this.atoms[this.atomsLength] = side;
    this.atoms[this.atomsLength + 1] = bound;
    this.atomsLength += 2;
    this.atoms[run] = (this.atoms[run] ?? 0) + 1;
  }

  /** Forgets the run opened last. */
  dropRun(run: number): void {
    this.atomsLength = run;
  }

  /** Atoms of the reason asked for last: side and bound in turn. */
  said = new Int32Array(128);
  saidLength = 0;

  say(side: number, bound: number): void {
    if (this.saidLength + 2 > this.said.length) this.said = grown(this.said);
    this.said[this.saidLength] = side;
    this.said[this.saidLength + 1] = bound;
    this.saidLength += 2;
  }

  sayRun(run: number): void {
    const end = run + 1 + 2 * (this.atoms[run] ?? 0);
    for (let at = run + 1; at < end; at += 2) this.say(this.atoms[at] ?? 0, this.atoms[at + 1] ?? 0);
  }

  openLevel(): void {
    this.level += 1;
    if (this.level === this.levelStart.length) {
      this.levelStart = grown(this.levelStart);
      this.levelAtoms = grown(this.levelAtoms);
    }
    this.levelStart[this.level] = this.length;
    this.levelAtoms[this.level] = this.atomsLength;
  }

  backTo(level: number): void {
    if (level >= this.level) return;
    const { trailSide, trailVal, trailPrev, val, top, told } = this;
    const end = this.levelStart[level + 1] ?? 0;
    for (let at = this.length - 1; at >= end; at -= 1) {
      const side = trailSide[at] ?? 0;
      const before = trailPrev[at] ?? 0;
      const bound = trailVal[before] ?? 0;
      top[side] = before;
      val[side] = bound;
      told[side] = bound;
    }
    this.length = end;
    this.head = end;
    this.atomsLength = this.levelAtoms[level + 1] ?? 0;
    this.level = level;
  }

  /** The level at which an entry was made. */
  levelOf(entry: number): number {
    let low = 0;
    let high = this.level;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.levelStart[middle] ?? 0) <= entry) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  /** The end of what holds without any decision. */
  rootEnd(): number {
    return this.level === 0 ? this.length : (this.levelStart[1] ?? 0);
  }

  /** The bound of a side before the entry was made. */
  valBefore(side: number, entry: number): number {
    return this.trailVal[this.entryBefore(side, entry)] ?? 0;
  }

  /** The last entry of a side before the given one. */
  entryBefore(side: number, entry: number): number {
    let at = this.top[side] ?? 0;
    while (at >= entry) at = this.trailPrev[at] ?? 0;
    return at;
  }

  /** At the root: forgets how its bounds came about, so that a long search does not grow the trail. */
  settleRoot(): void {
    this.length = 0;
    for (let side = 0; side < 2 * this.variables; side += 1) {
      this.top[side] = -1;
      this.append(side, this.val[side] ?? 0, ROOT, 0);
    }
    this.head = this.length;
    this.atomsLength = 0;
  }
}

/** Why a bound was set: a decision or a fact, a clause, a lag, a difference, a kept run of atoms, a sum. */
export const ROOT = 0;
export const CLAUSE = 1;
export const EDGE = 2;
export const DIFFERENCE = 3;
export const STORED = 4;
export const SUM = 5;

/** The same numbers with room for as many more. */
export function grown(array: Int32Array<ArrayBuffer>): Int32Array<ArrayBuffer> {
  const wider = new Int32Array(2 * array.length);
  wider.set(array);
  return wider;
}
