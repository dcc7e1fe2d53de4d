/** A small seeded generator of chance (xorshift, 32 bits). */
export class Chance {
  private state: number;

  constructor(seed: number) {
    this.state = (Math.imul(seed ^ 0x5bd1e995, 0x9e3779b1) ^ 0x2545f491) | 0 || 1;
  }

  /** A whole number from 0 to below the limit. */
  below(limit: number): number {
    let x = this.state;
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    this.state = x;
    return Math.floor(((x >>> 0) / 4294967296) * limit);
  }
}
