import type { Step } from '../plan/index.ts';
import { epochMs, formatDuration, seconds, workingStretches } from '../units/index.ts';
import type { Checked, Entry, VerifiedRule, Violation } from './verify.ts';

const length = (milliseconds: number): string =>
  milliseconds < 0
    ? `-${formatDuration(seconds(-milliseconds / 1000))}`
    : formatDuration(seconds(milliseconds / 1000));

/** Lengths, order, waits, needs, keeping times, service, and nothing before now. */
export function times(checked: Checked): Violation[] {
  return [
    ...checked.entries.flatMap((entry) => [
      ...stepLength(entry),
      ...asItWas(checked, entry),
      ...hours(checked, entry),
      ...waits(checked, entry),
      ...needs(checked, entry),
      ...deadlines(checked, entry),
    ]),
    ...checked.workload.components.flatMap((component) => keeping(checked, component.steps.at(-1))),
  ];
}

const violation = (rule: VerifiedRule, steps: readonly Step[], message: string): Violation => ({
  rule,
  steps: steps.map((step) => step.id),
  message,
});

function stepLength({ step, start, end }: Entry): Violation[] {
  const actual = (end - start) / 1000;
  if (step.length.kind !== 'rest') {
    const usual = Math.ceil(step.length.range.usual);
    return actual === usual
      ? []
      : [
          violation(
            'length',
            [step],
            `${step.id} is ${length(end - start)} long, not ${length(usual * 1000)}`,
          ),
        ];
  }
  const { atLeast, atMost } = step.length;
  // A window narrower than a second still holds one whole second.
  const tooLong = atMost !== undefined && actual > Math.max(atMost, Math.ceil(atLeast));
  if (actual >= atLeast && !tooLong) return [];
  return [violation('length', [step], `${step.id} rests ${length(end - start)}, outside its window`)];
}

/** What has happened is in the timetable as it was; what is under way began when it did and ends no sooner than it can. */
function asItWas({ options }: Checked, { step, start, end }: Entry): Violation[] {
  const standing = options.progress?.steps[step.id];
  if (!standing || standing.kind === 'open') return [];
  const same = (planned: number, was: number): boolean => planned === Math.floor(was / 1000) * 1000;
  const right =
    same(start, standing.start) &&
    (standing.kind === 'ended' ? same(end, standing.end) : end >= Math.floor(standing.soonest / 1000) * 1000);
  return right
    ? []
    : [violation('progress', [step], `${step.id} does not stand in the timetable as it happened`)];
}

const TWO_DAYS = 2 * 86_400_000;

function hours({ workload }: Checked, { step, start, end }: Entry): Violation[] {
  const { hours: worked, timeZone } = workload.kitchen;
  if (!worked || step.hands === 'free' || end <= start) return [];
  const around = workingStretches(worked, timeZone, epochMs(start - TWO_DAYS), epochMs(end + TWO_DAYS));
  return around.some(({ from, to }) => from <= start && end <= to)
    ? []
    : [violation('hours', [step], `${step.id} asks for hands outside the working hours`)];
}

function waits(checked: Checked, { step, component, place, start }: Entry): Violation[] {
  const before = component.steps[place - 1];
  const earlier = before && checked.entryOf(before.id);
  if (!earlier) return [];
  const wait = (start - earlier.end) / 1000;
  const found: Violation[] = [];
  if (wait < step.after)
    found.push(
      violation(
        'order',
        [earlier.step, step],
        `${step.id} starts ${length(start - earlier.end)} after ${earlier.step.id}`,
      ),
    );
  if (
    step.within !== undefined &&
    wait > Math.max(step.within, step.within >= step.after ? Math.ceil(step.after) : 0)
  )
    found.push(
      violation(
        'within',
        [earlier.step, step],
        `${step.id} waits ${length(start - earlier.end)} after ${earlier.step.id}`,
      ),
    );
  return found;
}

function needs(checked: Checked, { step, start }: Entry): Violation[] {
  return step.needs.flatMap((id) => {
    const needed = checked.entryOf(id);
    return needed && needed.end > start
      ? [violation('needs', [needed.step, step], `${step.id} starts before ${id} has ended`)]
      : [];
  });
}

function deadlines(checked: Checked, { step, component, start, end }: Entry): Violation[] {
  const { now, options } = checked;
  const { margins = 'keep', progress } = options;
  const found: Violation[] = [];
  const service = checked.timetable.service[component.plan];
  const margin = margins === 'keep' ? (checked.workload.plans[component.plan]?.margin ?? 0) : 0;
  if (service !== undefined && !progress?.served.includes(component.plan) && end > service - margin * 1000)
    found.push(
      violation(
        'service',
        [step],
        `${step.id} ends ${length(end - service + margin * 1000)} too late for service`,
      ),
    );
  if (now !== undefined && start < now)
    found.push(violation('now', [step], `${step.id} would have to start ${length(now - start)} ago`));
  return found;
}

/** Every user of a component's last step must be done while it keeps; where there is none, service must come in time. */
function keeping(checked: Checked, last: Step | undefined): Violation[] {
  const made = last && checked.entryOf(last.id);
  const keeps = made?.component.keeps;
  if (!made || keeps === undefined) return [];
  const users = checked.entries.filter((entry) => entry.step.needs.includes(made.step.id));
  const over = (until: number): boolean => (until - made.end) / 1000 > keeps;
  const service = checked.timetable.service[made.component.plan];
  if (users.length === 0 && service !== undefined && over(Math.floor(service / 1000) * 1000))
    return [
      violation('keeps', [made.step], `${made.component.id} waits ${length(service - made.end)} for service`),
    ];
  return users
    .filter((user) => over(user.end))
    .map((user) =>
      violation(
        'keeps',
        [made.step, user.step],
        `${made.component.id} is ${length(user.end - made.end)} old when ${user.step.id} ends`,
      ),
    );
}
