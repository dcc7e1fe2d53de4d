import type { StepId, Workload } from '../../src/plan/index.ts';
import type { Change, Progress, ReplanRequest, ReplanResult, Timetable } from '../../src/planner/index.ts';
import { epochMs, type EpochMs } from '../../src/units/index.ts';

/** A moment so many seconds later, on a whole second. */
const moved = (moment: EpochMs, by: number): EpochMs => epochMs(Math.floor(moment / 1000 + by) * 1000);

/** So many seconds later that what is open lies ahead, and at least so many. */
function atLeast({ told, steps, now }: Progress, by: number): number {
  const open = told.steps.filter(({ step }) => steps[step]?.kind === 'open');
  const first = Math.min(...open.map(({ start }) => start));
  return Number.isFinite(first) ? Math.max(by, Math.ceil((now - first) / 1000)) : by;
}

/** What the cook was told, with everything that is still open `by` seconds later and what has happened as it was. */
export function postponed({ told, steps }: Progress, by: number, service = by): Timetable {
  const standing = (step: StepId) => steps[step] ?? { kind: 'open' as const };
  const isOpen = (step: StepId): boolean => standing(step).kind === 'open';
  return {
    service: told.service.map((moment) => moved(moment, service)),
    steps: told.steps
      .map((planned) => {
        const stands = standing(planned.step);
        if (stands.kind === 'open')
          return { ...planned, start: moved(planned.start, by), end: moved(planned.end, by) };
        const end = stands.kind === 'ended' ? stands.end : stands.likely;
        return { ...planned, start: moved(stands.start, 0), end: moved(end, 0) };
      })
      .toSorted((a, b) => a.start - b.start),
    settings: told.settings
      .map((setting) =>
        isOpen(setting.step)
          ? { ...setting, at: moved(setting.at, by), hotBy: moved(setting.hotBy, by) }
          : setting,
      )
      .toSorted((a, b) => a.at - b.at),
  };
}

/**
 * A planner that knows one answer: everything `least` seconds later, or more where that has passed already, and service too
 * unless it is to be kept, whatever the kitchen says to that.
 */
export function postponing(least: number, keepService = false) {
  return (_workload: Workload, { progress }: ReplanRequest): Extract<ReplanResult, { kind: 'proposal' }> => {
    const by = atLeast(progress, least);
    const timetable = postponed(progress, by, keepService ? 0 : by);
    const told = new Map(progress.told.steps.map((planned) => [planned.step, planned.start]));
    const changes = timetable.steps
      .filter(({ step }) => progress.steps[step]?.kind === 'open')
      .map(({ step, start }): Change => ({
        step,
        message: `${step} ${Math.round(by / 60)} min later`,
        from: told.get(step) ?? start,
        to: start,
      }));
    const serviceMoved = keepService
      ? []
      : progress.told.service.map((from, plan) => ({ plan, from, to: timetable.service[plan] ?? from }));
    return { kind: 'proposal', timetable, changes, serviceMoved, broken: [] };
  };
}
