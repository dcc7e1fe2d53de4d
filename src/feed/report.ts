import type { FeedReport } from '../bench/index.ts';

/** Counts that have grown are told no more often than this, ms. */
const COUNTS_MS = 60_000;
/** So many changes in a row are told at once; after that one in so long, ms. What flaps is not to fill the journal. */
const CHANGES = 4;
const CHANGE_MS = 15_000;

/** How one feed stands, and what is told of it and when. Times are ms of a steady clock. */
export class Report {
  readonly #tell: (report: FeedReport) => void;
  #now: FeedReport;
  #told: FeedReport | undefined;
  #toldAt = -Infinity;
  #changes = CHANGES;
  #changesFrom = -Infinity;

  constructor(feed: string, tell: (report: FeedReport) => void) {
    this.#tell = tell;
    this.#now = { feed, state: 'off', detail: '', used: 0, thinned: 0, refused: 0 };
  }

  /** A reading that waits counts as left out until it goes out at its turn. */
  count(what: 'used' | 'held' | 'refused'): void {
    const key = what === 'held' ? 'thinned' : what;
    this.#now = { ...this.#now, [key]: this.#now[key] + 1 };
  }

  /** A reading that waited was used after all. */
  late(): void {
    const { used, thinned } = this.#now;
    this.#now = { ...this.#now, used: used + 1, thinned: thinned - 1 };
  }

  stands(state: 'on' | 'off', detail: string, now: number): void {
    this.#now = { ...this.#now, state, detail };
    this.#sayChange(now);
  }

  turn(now: number): void {
    this.#sayChange(now);
    const told = this.#told;
    if (told === undefined) return;
    const { used, thinned, refused } = this.#now;
    // Whoever sets up a sender waits to see that something comes of it.
    const isFirst = (told.used === 0 && used > 0) || (told.refused === 0 && refused > 0);
    const hasGrown = used > told.used || thinned > told.thinned || refused > told.refused;
    if (isFirst || (hasGrown && now - this.#toldAt >= COUNTS_MS)) this.#say(now);
  }

  #sayChange(now: number): void {
    const { state, detail } = this.#now;
    if (this.#told?.state === state && this.#told.detail === detail) return;
    if (detail === '' && this.#told === undefined) return;
    const regained = Math.floor((now - this.#changesFrom) / CHANGE_MS);
    if (regained >= 1) {
      this.#changes = Math.min(CHANGES, this.#changes + regained);
      this.#changesFrom = now;
    }
    if (this.#changes === 0) return;
    this.#changes -= 1;
    this.#say(now);
  }

  #say(now: number): void {
    this.#told = this.#now;
    this.#toldAt = now;
    this.#tell(this.#now);
  }
}
