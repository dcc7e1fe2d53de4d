import type { SettingPart, StepPart } from './parts.ts';

/** A call without a last moment is put in order as if it had one so long after it is due (as the bench has it). */
const NO_LATEST_MS = 600_000;

/**
 * What happens next by nature or by the cook: the first in time, and of several answers at one moment that to the call which
 * the bench puts first. Set anew at every look.
 */
export class NextAct {
  at = Infinity;
  kind: 'none' | 'read' | 'end' | 'start' | 'done' | 'turn' | 'knob' | 'serve' = 'none';
  step: StepPart | undefined;
  setting: SettingPart | undefined;
  private isCall = false;
  private rank = 0;
  private latest = 0;
  private due = 0;

  clear(): void {
    this.at = Infinity;
    this.kind = 'none';
  }

  /** The end of a step by nature. Offered before any answer, it comes first where both are at one moment. */
  end(at: number, kind: 'read' | 'end', step: StepPart): void {
    if (at >= this.at) return;
    this.at = at;
    this.kind = kind;
    this.step = step;
    this.isCall = false;
  }

  /**
   * The answer at `at` to a call that is due at `due` and has a last moment (or Infinity). Answers are offered in the order
   * in which the bench makes its calls; returns whether this one is the next. (Whoever answers is never early, so both of two
   * calls are due when they are answered: which of them was due first settles nothing.)
   */
  answer(at: number, due: number, latest: number, isPressing: boolean): boolean {
    if (at > this.at) return false;
    const rank = isPressing ? 1 : 2;
    const last = latest === Infinity ? due + NO_LATEST_MS : latest;
    if (at === this.at && !(this.isCall && this.comesAfter(rank, last, due))) return false;
    this.at = at;
    this.isCall = true;
    this.rank = rank;
    this.latest = last;
    this.due = due;
    return true;
  }

  private comesAfter(rank: number, latest: number, due: number): boolean {
    return (rank - this.rank || latest - this.latest || due - this.due) < 0;
  }
}
