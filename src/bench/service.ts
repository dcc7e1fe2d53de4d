import { secondsBetween, type EpochMs, type Seconds } from '../units/index.ts';
import type { BenchState } from './state.ts';

/** One moment of service, and the plans that go out then, by their place in the workload. */
export interface Service {
  readonly at: EpochMs;
  readonly plans: readonly number[];
}

type Run = Pick<BenchState, 'setup' | 'timetable' | 'servings'>;

/** Every moment of service in order; plans that are served at the same moment go out together. */
export function services({ timetable }: Run): readonly Service[] {
  const moments = [...new Set(timetable.service)].toSorted((a, b) => a - b);
  return moments.map((at) => ({
    at,
    plans: timetable.service.flatMap((moment, plan) => (moment === at ? [plan] : [])),
  }));
}

/** The next service that has not gone out; nothing once everything has. */
export function nextService(run: Run): Service | undefined {
  return services(run)[run.servings.length];
}

/** Whether one more serving is the last of the run. */
export const isLastService = (run: Run): boolean => run.servings.length === services(run).length - 1;

/** Whether a plan has gone out. */
export function isServed(run: Run, plan: number): boolean {
  return services(run)
    .slice(0, run.servings.length)
    .some((service) => service.plans.includes(plan));
}

/** How the service of one plan went. */
export interface ServiceOutcome {
  readonly plan: number;
  /** When it was to be, at the end; and as it was told first, where that is another time. */
  readonly service: EpochMs;
  readonly first?: EpochMs;
  /** When it went out; nothing where the run was left before. */
  readonly servedAt?: EpochMs;
  /** How much after its time that was; negative where before. */
  readonly late?: Seconds;
}

/** How the service of each plan went, in their order. */
export function serviceOutcomes(run: Run): readonly ServiceOutcome[] {
  const { setup, timetable, servings } = run;
  const moments = services(run).map(({ at }) => at);
  return timetable.service.map((service, plan): ServiceOutcome => {
    const first = setup.timetable.service[plan];
    const servedAt = servings[moments.indexOf(service)];
    return {
      plan,
      service,
      ...(first === undefined || first === service ? {} : { first }),
      ...(servedAt === undefined ? {} : { servedAt, late: secondsBetween(service, servedAt) }),
    };
  });
}

/** Whether everything that goes out at a service is finished. */
export function isReady(state: Pick<BenchState, 'setup' | 'components'>, { plans }: Service): boolean {
  return state.setup.workload.components.every(
    (component, index) =>
      !plans.includes(component.plan) || state.components[index]?.finishedAt !== undefined,
  );
}

/** What goes out at a service, by title. */
export const titlesOf = ({ setup }: Pick<BenchState, 'setup'>, { plans }: Service): string =>
  plans.map((plan) => setup.workload.plans[plan]?.title ?? '').join(', ');
