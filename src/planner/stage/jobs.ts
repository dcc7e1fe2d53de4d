import type { StepId } from '../../plan/index.ts';
import type { PlannedStep, Timetable } from '../timetable.ts';
import type { Derived } from './derive.ts';
import type { Job } from './rundown.ts';

type Who = Job['who'];
type Work = Pick<PlannedStep, 'step' | 'start' | 'end'>;

/**
 * Who does what with both hands. Showings are the presenter's, and so is whoever calls everybody to their places; what meets one
 * of them is the helper's, what meets that is the presenter's, and so on. Where that does not come out, work is handed over
 * when a showing begins. What meets nothing is the presenter's before it goes on air, and the helper's on air where there is one.
 */
export function jobsOf({ workload, showings, onAir, places }: Derived, { steps }: Timetable): Job[] {
  const busy = new Set(
    workload.components.flatMap((component) =>
      component.steps.filter(({ hands }) => hands === 'busy').map(({ id }) => id),
    ),
  );
  const shown = new Set<StepId>(showings);
  const work = steps.filter(({ step, start, end }) => busy.has(step) && end > start);
  const fixed = work.filter(({ step }) => shown.has(step) || step === places);
  const others = work.filter((each) => !fixed.includes(each));
  const air = steps.find(({ step }) => step === onAir);
  const isOnAir = (each: Work): boolean => air !== undefined && meets(each, air);
  const hands = handsFor(others, fixed, (each) =>
    isOnAir(each) && workload.kitchen.cooks > 1 ? 'helper' : 'presenter',
  );
  const jobs = fixed.map(({ step, start, end }): Job => ({
    who: 'presenter',
    step,
    start,
    end,
    onView: shown.has(step),
  }));
  for (const each of others.toSorted((a, b) => a.start - b.start))
    jobs.push(...stretches(each, hands.get(each) ?? 'presenter', jobs));
  return jobs.toSorted((a, b) => a.start - b.start || a.end - b.end);
}

const meets = (a: Work, b: Work): boolean => a.start < b.end && b.start < a.end;
const other = (who: Who): Who => (who === 'presenter' ? 'helper' : 'presenter');

/** Gives each piece of work to one of the two, so that what meets goes to different hands as far as that comes out. */
function handsFor(
  others: readonly Work[],
  fixed: readonly Work[],
  alone: (each: Work) => Who,
): Map<Work, Who> {
  const hands = new Map<Work, Who>();
  const spread = (from: Work, who: Who): void => {
    const queue: [Work, Who][] = [[from, who]];
    for (const [each, mine] of queue) {
      if (hands.has(each)) continue;
      hands.set(each, mine);
      for (const next of others) if (next !== each && meets(next, each)) queue.push([next, other(mine)]);
    }
  };
  for (const each of others) if (fixed.some((showing) => meets(showing, each))) spread(each, 'helper');
  for (const each of others) spread(each, alone(each));
  return hands;
}

/** The stretches of one piece of work beside what is given out already: one, but where it has to be handed over. */
function stretches({ step, start, end }: Work, wanted: Who, given: readonly Job[]): Job[] {
  const beside = given.filter((job) => job.start < end && start < job.end);
  const moments = [start, end, ...beside.flatMap((job) => [job.start, job.end])]
    .filter((moment) => moment >= start && moment <= end)
    .toSorted((a, b) => a - b);
  const found: Job[] = [];
  let who = wanted;
  moments.forEach((from, place) => {
    const until = moments[place + 1] ?? from;
    if (until <= from) return;
    if (beside.some((job) => job.who === who && job.start <= from && job.end >= until)) who = other(who);
    const before = found.at(-1);
    if (before?.who === who) found[found.length - 1] = { ...before, end: until };
    else found.push({ who, step, start: from, end: until, onView: false });
  });
  return found;
}
