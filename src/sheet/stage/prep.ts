import type { StepId } from '../../plan/index.ts';
import type { Rundown as StageRundown } from '../../planner/index.ts';
import { wantsSomething } from '../ready.ts';
import { rundown, type Rundown } from '../rundown.ts';

/** The work off stage as a run sheet: every step that is no showing, for the moment at which it goes on air. */
export function prepOf(stage: StageRundown): Rundown {
  const { workload, timetable, begins } = stage;
  const shown = shownSteps(stage);
  const frame = frameSteps(stage);
  const steps = timetable.steps.filter(
    ({ step, start }) => !shown.has(step) && !(frame.has(step) && start >= begins),
  );
  const sheet = rundown(workload, { ...timetable, service: timetable.service.map(() => begins), steps });
  // Nothing is weighed out for going to one's place.
  const ofFrame = new Set(
    workload.components
      .filter((component) => component.steps.some(({ id }) => frame.has(id)))
      .map(({ name }) => name),
  );
  const stretches = sheet.stretches.map((stretch) => ({
    ...stretch,
    weigh: stretch.weigh.filter((name) => !ofFrame.has(name)),
  }));
  return { ...sheet, stretches: stretches.filter(wantsSomething) };
}

const shownSteps = ({ showings }: StageRundown): ReadonlySet<StepId> =>
  new Set(showings.map(({ step }) => step));

/** Steps that make nothing and show nothing: they only hold the time on air together. */
export function frameSteps(stage: StageRundown): ReadonlySet<StepId> {
  const shown = shownSteps(stage);
  const made = new Set(stage.swaps.flatMap((swap) => swap.made));
  const frame = stage.workload.components.filter(
    ({ id, steps }) => !made.has(id) && !steps.some((step) => shown.has(step.id)),
  );
  return new Set(frame.flatMap(({ steps }) => steps.map(({ id }) => id)));
}

/** How many times the plan's amounts are wanted. */
export interface Amount {
  /** The component as the plan titles it. */
  readonly title: string;
  readonly times: number;
  /** For which swaps, and `on air` for what is begun before the audience. */
  readonly uses: readonly string[];
}

/**
 * What is weighed out: for each title, how many times the plan's amounts, over all swaps that it goes into and what is begun on
 * air. A plan has no amounts but in its comments, so they can be multiplied only by whoever reads them.
 */
export function amountsOf({ workload, swaps, showings }: StageRundown): Amount[] {
  const begunOnAir = new Set(
    showings
      .filter(({ shows, from }) => shows.kind === 'step' && from.kind === 'nothing')
      .map(({ step }) => step),
  );
  const found = new Map<string, { title: string; times: number; uses: string[] }>();
  for (const component of workload.components) {
    const own = swaps.filter(({ made }) => made.includes(component.id));
    const isOnAir = own.length === 0 && component.steps.some(({ id }) => begunOnAir.has(id));
    if (own.length === 0 && !isOnAir) continue;
    const title = plainTitle(
      component.title,
      own.map(({ id }) => id),
    );
    const amount = found.get(title) ?? { title, times: 0, uses: [] };
    // What goes into one swap by two makings, its backup's own, counts once: the swap says how many times in all.
    const fresh = own.filter(({ id }) => !amount.uses.includes(id));
    amount.times += isOnAir ? 1 : fresh.reduce((sum, { factor }) => sum + factor, 0);
    amount.uses.push(...(isOnAir ? ['on air'] : fresh.map(({ id }) => id)));
    found.set(title, amount);
  }
  return [...found.values()];
}

/** A component's title without the swap that it is made for: `Pears for F` is `Pears`. */
function plainTitle(title: string, swaps: readonly string[]): string {
  const ending = swaps
    .flatMap((id) => [` for ${id}`, ` ${id} backup`, ` ${id}`])
    .find((each) => title.endsWith(each));
  return ending === undefined ? title : title.slice(0, -ending.length);
}
