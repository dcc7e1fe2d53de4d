import type { Step, StepId, Workload } from '../../../src/plan/index.ts';
import type { Timetable } from '../../../src/planner/index.ts';

/*
 * A plan played as a game, minute by minute, with everything tried: nature ends what may be over, then the cook sees it and begins or ends what
 * may be begun or ended. It knows steps, waits, needs, keeping times and the hands of one cook in the order of a timetable, and shares nothing
 * with the network that it judges.
 */

/** How one step stands: when it began and ended, in minutes. */
interface Stand {
  readonly start?: number;
  readonly end?: number;
}

type Board = readonly Stand[];

/** Everything in minutes from the beginning of work. */
export interface Game {
  readonly workload: Workload;
  readonly timetable: Timetable;
  readonly begin: number;
}

/** Whether a cook who may begin at `begin` can keep every window and be ready for service, whatever nature does within the ranges. */
export function canBeKept({ workload, timetable, begin }: Game): boolean {
  const steps = workload.components.flatMap((component) => component.steps);
  const place = new Map<StepId, number>(steps.map(({ id }, index) => [id, index]));
  const served = ((timetable.service[0] ?? 0) - begin) / 60_000;
  const told = timetable.steps.map(({ step }) => step);
  const hands = told.filter((id) => steps[place.get(id) ?? -1]?.hands === 'busy');
  const known = new Map<string, boolean>();

  /** Ends of what must be over before a step, each with the longest wait after it. */
  const limits = steps.map((step, index) => {
    const before = steps[index - 1];
    return before?.component === step.component
      ? { before: index - 1, within: step.within, after: step.after }
      : undefined;
  });
  const keeps = workload.components.flatMap((component) => {
    const last = component.steps.at(-1);
    if (component.keeps === undefined || !last) return [];
    const users = steps.flatMap(({ needs }, index) => (needs.includes(last.id) ? [index] : []));
    return [{ last: place.get(last.id) ?? -1, users, most: component.keeps / 60 }];
  });

  /** Which step ends a rest by taking it: the first of those that come after it, by the timetable. */
  const takers = steps.map((step, index): number | undefined => {
    if (step.length.kind !== 'rest') return undefined;
    const follows = steps.flatMap((other, at) =>
      (at === index + 1 && other.component === step.component) || other.needs.includes(step.id) ? [at] : [],
    );
    const toldOf = (at: number): number =>
      timetable.steps.find((each) => each.step === steps[at]?.id)?.start ?? 0;
    return follows.toSorted((a, b) => toldOf(a) - toldOf(b))[0];
  });

  return naturesTurn(
    steps.map(() => ({})),
    0,
  );

  /** Nature has its say at a moment: whatever it does must be won. */
  function naturesTurn(board: Board, now: number): boolean {
    const key = `${now} ${board.map(({ start = '', end = '' }) => `${start},${end}`).join(' ')}`;
    const before = known.get(key);
    if (before !== undefined) return before;
    const going = board.flatMap(({ start, end }, index) => {
      const step = steps[index];
      if (start === undefined || end !== undefined || step === undefined || step.length.kind === 'rest')
        return [];
      const { low, high } = step.length.range;
      const passed = (now - start) * 60;
      return passed < low ? [] : [{ index, mustEnd: passed >= high }];
    });
    const result = choices(going).every((ended) =>
      cooksTurn(
        board.map((stand, index) => (ended.includes(index) ? { ...stand, end: now } : stand)),
        now,
      ),
    );
    known.set(key, result);
    return result;
  }

  /** Which of what may end ends now. */
  function choices(going: readonly { readonly index: number; readonly mustEnd: boolean }[]): number[][] {
    return going.reduce<number[][]>(
      (all, { index, mustEnd }) => [...all.map((each) => [...each, index]), ...(mustEnd ? [] : all)],
      [[]],
    );
  }

  /** The cook does one thing after another in one moment, then lets time pass. */
  function cooksTurn(board: Board, now: number): boolean {
    if (isLost(board, now)) return false;
    if (board.every(({ end }) => end !== undefined)) return isServed(board);
    if (now < served && naturesTurn(board, now + 1)) return true;
    return board.some(({ start, end }, index) => {
      const step = steps[index];
      if (!step || end !== undefined) return false;
      if (start === undefined) {
        if (!mayBegin(board, step, index, now)) return false;
        // What it takes is over with that.
        const taken = board.map((each, at) => (takers[at] === index ? { ...each, end: now } : each));
        return cooksTurn(taken.with(index, { start: now }), now);
      }
      if (takers[index] !== undefined || !hasRested(step, start, now)) return false;
      return cooksTurn(board.with(index, { start, end: now }), now);
    });
  }

  function hasRested({ length }: Step, start: number, now: number): boolean {
    return length.kind === 'rest' && (now - start) * 60 >= length.atLeast;
  }

  /** When what another step waits for is over, if it is, or may be taken by it now. */
  function overFor(board: Board, other: number, index: number, now: number): number | undefined {
    const [stand, step] = [board[other], steps[other]];
    if (stand?.end !== undefined || stand?.start === undefined || !step) return stand?.end;
    return takers[other] === index && hasRested(step, stand.start, now) ? now : undefined;
  }

  function mayBegin(board: Board, { id, needs, hands: asked }: Step, index: number, now: number): boolean {
    const limit = limits[index];
    const ends = [...needs.map((need) => place.get(need) ?? -1), ...(limit ? [limit.before] : [])].map(
      (other) => overFor(board, other, index, now),
    );
    if (ends.includes(undefined)) return false;
    if (limit && (now - (ends.at(-1) ?? 0)) * 60 < limit.after) return false;
    if (asked !== 'busy') return true;
    return hands
      .slice(0, hands.indexOf(id))
      .every((other) => board[place.get(other) ?? -1]?.end !== undefined);
  }

  /** Whether something has waited, rested or been kept for too long by now. */
  function isLost(board: Board, now: number): boolean {
    if (now > served) return true;
    const tooLong = (from: number | undefined, to: number | undefined, most: number): boolean =>
      from !== undefined && (to ?? now) - from > most;
    return (
      steps.some(({ length, within }, index) => {
        const [here, limit] = [board[index], limits[index]];
        if (limit && within !== undefined && tooLong(board[limit.before]?.end, here?.start, within / 60))
          return true;
        return (
          length.kind === 'rest' &&
          length.atMost !== undefined &&
          tooLong(here?.start, here?.end, length.atMost / 60)
        );
      }) ||
      keeps.some(({ last, users, most }) =>
        users.some((user) => tooLong(board[last]?.end, board[user]?.end, most)),
      )
    );
  }

  /** What nobody uses is kept until service. */
  function isServed(board: Board): boolean {
    return keeps.every(
      ({ last, users, most }) => users.length > 0 || served - (board[last]?.end ?? 0) <= most,
    );
  }
}
