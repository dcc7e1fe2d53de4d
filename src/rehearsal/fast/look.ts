/** A look at one moment that notes when to look again, as the bench's watch does. One is enough; it is set to each moment. */
export class Look {
  now = 0;
  /** The earliest moment that was asked for and had not come. */
  next = Infinity;

  at(now: number): void {
    this.now = now;
    this.next = Infinity;
  }

  reached(moment: number): boolean {
    if (moment <= this.now) return true;
    if (moment < this.next) this.next = moment;
    return false;
  }

  /** When what was to happen at a moment that has come is to be expected now: in the bench's growing steps. */
  anew(expected: number): number {
    const { now } = this;
    for (const late of OVERDUE_MS) {
      const mark = expected + late;
      if (mark > now) return this.noted(mark);
    }
    return this.noted(expected + (Math.floor((now - expected) / HOUR_MS) + 1) * HOUR_MS);
  }

  private noted(mark: number): number {
    if (mark < this.next) this.next = mark;
    return mark;
  }
}

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const OVERDUE_MS: readonly number[] = [0, 1, 2, 3, 5, 7, 10, 15, 20, 30, 45, 60].map(
  (minutes) => minutes * MINUTE_MS,
);
