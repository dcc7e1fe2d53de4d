import type { Workload } from '../../plan/index.ts';
import { seconds, type EpochMs, type Seconds } from '../../units/index.ts';
import type { Timetable } from '../timetable.ts';

/** When more hands are busy than there are cooks: from the first such moment to the last, and how long in all. */
export interface ExtraHands {
  readonly from: EpochMs;
  readonly to: EpochMs;
  readonly total: Seconds;
}

/** When a timetable wants more cooks than `cooks`; nothing where it never does. */
export function extraHands(workload: Workload, timetable: Timetable, cooks: number): ExtraHands | undefined {
  const busy = new Set(
    workload.components
      .flatMap((component) => component.steps)
      .filter(({ hands }) => hands === 'busy')
      .map(({ id }) => id),
  );
  const stretches = timetable.steps.filter(({ step }) => busy.has(step));
  const moments = [...new Set(stretches.flatMap(({ start, end }) => [start, end]))].toSorted((a, b) => a - b);
  let found: ExtraHands | undefined;
  moments.forEach((from, index) => {
    const to = moments[index + 1];
    if (to === undefined) return;
    const taken = stretches.filter(({ start, end }) => start <= from && end >= to).length;
    if (taken <= cooks) return;
    const length = (to - from) / 1000;
    found = { from: found?.from ?? from, to, total: seconds((found?.total ?? 0) + length) };
  });
  return found;
}
