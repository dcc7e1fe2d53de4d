/** How much of a resource is taken when, as claims are settled one by one. Equal neighbours are one stretch. */
export class Profile {
  /** From each time to the next so much is taken; nothing before the first. */
  readonly time: number[] = [];
  private readonly height: number[] = [];

  add(from: number, to: number, amount: number): void {
    if (to <= from || amount <= 0) return;
    const first = this.cut(from);
    const last = this.cut(to);
    for (let i = first; i < last; i += 1) this.height[i] = (this.height[i] ?? 0) + amount;
    this.join(last);
    this.join(first);
  }

  /** Makes sure that a stretch begins at the time; its index. */
  private cut(time: number): number {
    const at = this.after(time);
    if (this.time[at - 1] === time) return at - 1;
    this.time.splice(at, 0, time);
    this.height.splice(at, 0, this.height[at - 1] ?? 0);
    return at;
  }

  private join(at: number): void {
    if ((this.height[at] ?? 0) !== (this.height[at - 1] ?? 0)) return;
    this.time.splice(at, 1);
    this.height.splice(at, 1);
  }

  /** The first stretch that begins after the time. */
  private after(time: number): number {
    let low = 0;
    let high = this.time.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.time[middle] ?? 0) <= time) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** What is taken within `[from, to)`, in order. */
  within(from: number, to: number): Taken[] {
    const found: Taken[] = [];
    for (let i = Math.max(0, this.after(from) - 1); i + 1 < this.time.length; i += 1) {
      const begins = this.time[i] ?? 0;
      if (begins >= to) break;
      const amount = this.height[i] ?? 0;
      if (amount > 0) found.push({ from: begins, to: this.time[i + 1] ?? 0, amount });
    }
    return found;
  }
}

export interface Taken {
  readonly from: number;
  readonly to: number;
  readonly amount: number;
}
