import type { RunSetup } from '../../bench/index.ts';
import type { Step, StepId, Workload } from '../../plan/index.ts';
import { eased, planTimetable, verify, type Easing, type Timetable } from '../../planner/index.ts';
import { epochMs, plus, seconds, type EpochMs, type Seconds } from '../../units/index.ts';

/** Something that might be done otherwise, to be tried in rehearsals. Plain data. */
export type Change =
  /** Everything is planned to be ready so much longer before service. */
  | { readonly kind: 'ready earlier'; readonly by: Seconds }
  /** What was told stays, but all of it comes so much earlier (later, where negative); service does not move. */
  | { readonly kind: 'all earlier'; readonly by: Seconds }
  /** The plan or the kitchen is easier; the timetable stays, or is made anew for it. */
  | { readonly kind: 'easier'; readonly easing: Easing; readonly timetable: 'as told' | 'new' }
  /** A step's range is half as wide about its usual length. */
  | { readonly kind: 'steadier'; readonly step: StepId };

/** What a new timetable may cost, in the planner's counted work: about a quarter of a second. */
const EFFORT = 1_000_000;

/** The first moment at which something is to be done. */
export function beginOf({ steps, settings }: Timetable): EpochMs {
  return epochMs(Math.min(...steps.map(({ start }) => start), ...settings.map(({ at }) => at)));
}

/** The setup with the change made; nothing where no timetable was found for it. */
export function changed(setup: RunSetup, change: Change): RunSetup | undefined {
  const { workload, timetable } = setup;
  switch (change.kind) {
    case 'ready earlier': {
      const plans = workload.plans.map((plan) => ({ ...plan, margin: seconds(plan.margin + change.by) }));
      // Only the timetable is made with the larger margin: what the cook sees and answers stays as it is.
      const made = planned({ ...workload, plans }, timetable.service);
      return made && begun(setup, workload, made);
    }
    case 'all earlier':
      return begun(setup, workload, shifted(timetable, change.by));
    case 'easier': {
      const service = { kind: 'at', moments: timetable.service } as const;
      const easier = eased({ workload, request: { service } }, change.easing).workload;
      if (change.timetable === 'as told') return { ...setup, workload: easier };
      const made = planned(easier, timetable.service);
      return made && begun(setup, easier, made);
    }
    case 'steadier':
      return { ...setup, workload: steadier(workload, change.step) };
  }
}

function planned(workload: Workload, moments: readonly EpochMs[]): Timetable | undefined {
  const result = planTimetable(workload, {
    service: { kind: 'at', moments },
    effort: EFFORT,
    reasons: 'spare',
  });
  return 'timetable' in result ? result.timetable : undefined;
}

const begun = (setup: RunSetup, workload: Workload, timetable: Timetable): RunSetup => ({
  ...setup,
  workload,
  timetable,
  begunAt: beginOf(timetable),
});

/** Whether what was told may come so much earlier and still breaks no rule: what keeps until service must keep longer. */
export function mayComeEarlier({ workload, timetable }: RunSetup, by: Seconds): boolean {
  return verify(workload, shifted(timetable, by), { margins: 'drop' }).length === 0;
}

function shifted(timetable: Timetable, by: Seconds): Timetable {
  const moved = (moment: EpochMs): EpochMs => plus(moment, -1 * by);
  return {
    service: timetable.service,
    steps: timetable.steps.map((step) => ({ ...step, start: moved(step.start), end: moved(step.end) })),
    settings: timetable.settings.map((setting) => ({
      ...setting,
      at: moved(setting.at),
      hotBy: moved(setting.hotBy),
    })),
  };
}

function steadier(workload: Workload, id: StepId): Workload {
  const change = (step: Step): Step => {
    if (step.id !== id || step.length.kind === 'rest') return step;
    const { low, usual, high } = step.length.range;
    const range = { low: seconds((low + usual) / 2), usual, high: seconds((usual + high) / 2) };
    return { ...step, length: { ...step.length, range } };
  };
  const components = workload.components.map((component) => ({
    ...component,
    steps: component.steps.map(change),
  }));
  return { ...workload, components };
}
