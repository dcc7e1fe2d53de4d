/** So much of `x[to] - x[from]`; -1 stands for the time 0. */
export interface Flow {
  readonly from: number;
  readonly to: number;
  readonly amount: number;
}

interface Ends {
  readonly variable: number;
  readonly amount: number;
}

/** More pairs than this are not weighed against each other. */
const MOST_PAIRS = 60_000;

/**
 * Pairs what is subtracted with what is added so that the sum of amount x distance is greatest, where each may also be
 * paired with the time 0. Successive longest augmenting paths; distances obey the triangle inequality, so that no flow need
 * pass through a third.
 */
export function transport(
  supplies: readonly Ends[],
  wants: readonly Ends[],
  distance: (from: number, to: number) => number | undefined,
): Flow[] {
  if (supplies.length === 0 || wants.length === 0 || supplies.length * wants.length > MOST_PAIRS)
    return [
      ...supplies.map(({ variable, amount }) => ({ from: variable, to: -1, amount })),
      ...wants.map(({ variable, amount }) => ({ from: -1, to: variable, amount })),
    ];
  return new Transport(supplies, wants, distance).run();
}

/** The last supply and the last want stand for the time 0, which has as much as is asked of it. */
class Transport {
  private readonly supplies: readonly Ends[];
  private readonly wants: readonly Ends[];
  private readonly gain: Float64Array;
  private readonly flow: Float64Array;
  private readonly left: Float64Array;
  private readonly missing: Float64Array;
  private readonly rows: number;
  private readonly columns: number;

  constructor(
    supplies: readonly Ends[],
    wants: readonly Ends[],
    distance: (from: number, to: number) => number | undefined,
  ) {
    const total = (ends: readonly Ends[]): number => ends.reduce((sum, { amount }) => sum + amount, 0);
    this.supplies = [...supplies, { variable: -1, amount: total(wants) }];
    this.wants = [...wants, { variable: -1, amount: total(supplies) }];
    this.rows = this.supplies.length;
    this.columns = this.wants.length;
    this.gain = new Float64Array(this.rows * this.columns).fill(-Infinity);
    this.flow = new Float64Array(this.rows * this.columns);
    this.left = Float64Array.from(this.supplies, ({ amount }) => amount);
    this.missing = Float64Array.from(this.wants, ({ amount }) => amount);
    this.supplies.forEach(({ variable: from }, row) =>
      this.wants.forEach(({ variable: to }, column) => {
        const between = from < 0 && to < 0 ? 0 : distance(from, to);
        if (between !== undefined) this.gain[row * this.columns + column] = between;
      }),
    );
  }

  run(): Flow[] {
    while (this.augment()) continue;
    const found: Flow[] = [];
    this.supplies.forEach(({ variable: from }, row) =>
      this.wants.forEach(({ variable: to }, column) => {
        const amount = this.flow[row * this.columns + column] ?? 0;
        if (amount > 0 && (from >= 0 || to >= 0)) found.push({ from, to, amount });
      }),
    );
    return found;
  }

  /** Sends as much as can be along the best way from what is left to what is missing; false when nothing is left. */
  private augment(): boolean {
    const { rows, columns, gain, flow } = this;
    const byRow = new Float64Array(rows).fill(-Infinity);
    const byColumn = new Float64Array(columns).fill(-Infinity);
    const rowFrom = new Int32Array(rows).fill(-1);
    const columnFrom = new Int32Array(columns).fill(-1);
    for (let row = 0; row < rows; row += 1) if ((this.left[row] ?? 0) > 0) byRow[row] = 0;
    for (let changed = true; changed;) {
      changed = false;
      for (let row = 0; row < rows; row += 1) {
        const worth = byRow[row] ?? -Infinity;
        if (worth === -Infinity) continue;
        for (let column = 0; column < columns; column += 1) {
          const reached = worth + (gain[row * columns + column] ?? -Infinity);
          if (reached <= (byColumn[column] ?? 0)) continue;
          byColumn[column] = reached;
          columnFrom[column] = row;
          changed = true;
        }
      }
      for (let column = 0; column < columns; column += 1) {
        const worth = byColumn[column] ?? -Infinity;
        if (worth === -Infinity) continue;
        for (let row = 0; row < rows; row += 1) {
          if ((flow[row * columns + column] ?? 0) <= 0) continue;
          const reached = worth - (gain[row * columns + column] ?? 0);
          if (reached <= (byRow[row] ?? 0)) continue;
          byRow[row] = reached;
          rowFrom[row] = column;
          changed = true;
        }
      }
    }
    let end = -1;
    for (let column = 0; column < columns; column += 1)
      if ((this.missing[column] ?? 0) > 0 && (end < 0 || (byColumn[column] ?? 0) > (byColumn[end] ?? 0)))
        end = column;
    return end >= 0 && (byColumn[end] ?? -Infinity) > -Infinity && this.send(end, columnFrom, rowFrom);
  }

  private send(end: number, columnFrom: Int32Array, rowFrom: Int32Array): boolean {
    const { columns, flow } = this;
    let amount = this.missing[end] ?? 0;
    let row = columnFrom[end] ?? 0;
    for (let column = rowFrom[row] ?? -1; column >= 0; column = rowFrom[row] ?? -1) {
      amount = Math.min(amount, flow[row * columns + column] ?? 0);
      row = columnFrom[column] ?? 0;
    }
    amount = Math.min(amount, this.left[row] ?? 0);
    this.left[row] = (this.left[row] ?? 0) - amount;
    this.missing[end] = (this.missing[end] ?? 0) - amount;
    let column = end;
    row = columnFrom[end] ?? 0;
    for (;;) {
      flow[row * columns + column] = (flow[row * columns + column] ?? 0) + amount;
      const back = rowFrom[row] ?? -1;
      if (back < 0) return amount > 0;
      flow[row * columns + back] = (flow[row * columns + back] ?? 0) - amount;
      column = back;
      row = columnFrom[column] ?? 0;
    }
  }
}
