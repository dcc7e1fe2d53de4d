import type { Preference, WorkingHours, Workload } from '../../../src/plan/index.ts';
import type { PlanRequest } from '../../../src/planner/index.ts';
import { laidTogether, moment, type KitchenSpec, type PlanSpec } from '../../support/workloads.ts';

/** A kitchen, plans and a question as plain data, so that a failing one can be printed and pasted into a test. */
export interface KitchenCase {
  readonly kitchen: KitchenSpec & {
    readonly hours?: WorkingHours;
    readonly nights?: 'allowed';
  };
  readonly plans: Readonly<Record<string, PlanSpec & { readonly prefer?: readonly Preference[] }>>;
  readonly request: {
    /** One moment of service for each plan, in UTC: `2027-05-14 21:59:58`. */
    readonly service: readonly string[];
    readonly now?: string;
    readonly margins?: 'drop';
    readonly prefer?: readonly Preference[];
  };
}

export interface Asked {
  readonly workload: Workload;
  readonly request: PlanRequest;
}

/** What the planner is asked in a case. */
export function asked({ kitchen, plans, request }: KitchenCase): Asked {
  const { hours, nights, ...plain } = kitchen;
  const bare = laidTogether(plain, plans);
  const preferences = Object.values(plans).map((plan) => plan.prefer);
  const { service, now, margins, prefer } = request;
  return {
    workload: {
      ...bare,
      kitchen: {
        ...bare.kitchen,
        ...(hours && { hours }),
        ...(nights && { nights }),
      },
      plans: bare.plans.map((plan, index) => {
        const preference = preferences[index];
        return { ...plan, ...(preference && { prefer: preference }) };
      }),
    },
    request: {
      service: { kind: 'at', moments: service.map(moment) },
      ...(now !== undefined && { now: moment(now) }),
      ...(margins && { margins }),
      ...(prefer && { prefer }),
    },
  };
}

/** The case as it can be pasted. */
export const printed = (given: KitchenCase): string => JSON.stringify(given);
