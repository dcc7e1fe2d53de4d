import {
  componentId,
  stepId,
  type Component,
  type Kitchen,
  type OvenHeat,
  type OvenPace,
  type Step,
  type StepId,
} from '../../../src/plan/index.ts';
import type { Timetable } from '../../../src/planner/index.ts';
import { celsius, epochMs, seconds, type EpochMs, type Seconds } from '../../../src/units/index.ts';
import type { Asked } from './case.ts';
import { chance } from './chance.ts';

/* One question made into another, whose answer is then known from the answer to the first. */

/** The question with something else about its kitchen. */
export const inKitchen = (
  { workload, request }: Asked,
  change: (kitchen: Kitchen) => Partial<Kitchen>,
): Asked => ({
  workload: { ...workload, kitchen: { ...workload.kitchen, ...change(workload.kitchen) } },
  request,
});

/** The question with every step changed. */
export const inSteps = (
  { workload, request }: Asked,
  change: (step: Step, component: Component) => Step,
): Asked => ({
  workload: {
    ...workload,
    components: workload.components.map((component) => ({
      ...component,
      steps: component.steps.map((step) => change(step, component)),
    })),
  },
  request,
});

export const times = (length: Seconds, factor: number): Seconds => seconds(length * factor);

export function without<T extends object, K extends keyof T>(given: T, key: K): Omit<T, K> {
  const { [key]: _gone, ...left } = given;
  return left;
}

const renamed = (name: string): string => `x${name.split('').toReversed().join('')}`;
const newId = (component: Component['id']): Component['id'] => componentId(renamed(component));

/** Other names for everything but plans, and components, items and ovens in another order. */
export function inOtherWords({ workload, request }: Asked): Asked {
  const draw = chance(7);
  const ids = new Map<StepId, StepId>(
    workload.components.flatMap(({ id, steps }) =>
      steps.map((step) => [step.id, stepId(newId(id), renamed(step.name))] as const),
    ),
  );
  const idOf = (id: StepId): StepId => ids.get(id) ?? id;
  const stepOf = (step: Step): Step => ({
    ...step,
    id: idOf(step.id),
    component: newId(step.component),
    name: renamed(step.name),
    needs: step.needs.map(idOf).toReversed(),
    uses: step.uses.map((claim) => ({ ...claim, item: renamed(claim.item) })),
    holds: step.holds.map((claim) => ({ ...claim, item: renamed(claim.item), until: idOf(claim.until) })),
    ...(step.oven && {
      oven: { ...step.oven, ...(step.oven.oven !== undefined && { oven: renamed(step.oven.oven) }) },
    }),
  });
  const { kitchen } = workload;
  return {
    workload: {
      kitchen: {
        ...kitchen,
        ovens: kitchen.ovens.map((oven) => ({ ...oven, name: renamed(oven.name) })).toReversed(),
        items: kitchen.items.map((item) => ({ ...item, name: renamed(item.name) })).toReversed(),
      },
      plans: workload.plans.map((each) => ({ ...each, components: each.components.map(newId) })),
      components: draw.shuffled(workload.components).map((component) => ({
        ...component,
        id: newId(component.id),
        name: renamed(component.name),
        steps: component.steps.map(stepOf),
      })),
    },
    request,
  };
}

/** The same question with service and now so many milliseconds later. */
export function later({ workload, request }: Asked, by: number): Asked {
  const at = (moment: EpochMs): EpochMs => epochMs(moment + by);
  if (request.service.kind !== 'at') return { workload, request };
  const { service, now, ...others } = request;
  const moments = service.moments.map(at);
  return {
    workload,
    request: { ...others, service: { kind: 'at', moments }, ...(now !== undefined && { now: at(now) }) },
  };
}

/** The timetable so many milliseconds later. */
export function moved({ service, steps, settings }: Timetable, by: number): Timetable {
  const at = (moment: EpochMs): EpochMs => epochMs(moment + by);
  return {
    service: service.map(at),
    steps: steps.map((entry) => ({ ...entry, start: at(entry.start), end: at(entry.end) })),
    settings: settings.map((each) => ({ ...each, at: at(each.at), hotBy: at(each.hotBy) })),
  };
}

const halfAsQuick = (pace: OvenPace): OvenPace =>
  typeof pace === 'number' ? pace / 2 : { ...pace, in: times(pace.in, 2) };

/** Twice as long in everything, an oven half as quick; services keep their distances twice over. */
export function twiceAsLong({ workload, request }: Asked): Asked {
  const twice = (length: Seconds): Seconds => times(length, 2);
  const { moments } = request.service.kind === 'at' ? request.service : { moments: [] };
  const last = Math.max(...moments);
  const away = (moment: number): (typeof moments)[number] => epochMs(last + 2 * (moment - last));
  const slow = inKitchen({ workload, request }, ({ ovens }) => ({
    nights: 'allowed',
    ovens: ovens.map((oven) => ({
      ...oven,
      heats: halfAsQuick(oven.heats),
      cools: halfAsQuick(oven.cools),
      soak: twice(oven.soak),
    })),
  }));
  const long = inSteps(slow, (step) => ({
    ...step,
    after: twice(step.after),
    ...(step.within !== undefined && { within: twice(step.within) }),
    length:
      step.length.kind === 'rest'
        ? {
            ...step.length,
            atLeast: twice(step.length.atLeast),
            ...(step.length.atMost !== undefined && { atMost: twice(step.length.atMost) }),
          }
        : {
            ...step.length,
            range: {
              low: twice(step.length.range.low),
              usual: twice(step.length.range.usual),
              high: twice(step.length.range.high),
            },
          },
  }));
  return {
    workload: {
      ...long.workload,
      plans: workload.plans.map((each) => ({ ...each, margin: twice(each.margin) })),
      components: long.workload.components.map((component) => ({
        ...component,
        ...(component.keeps !== undefined && { keeps: twice(component.keeps) }),
      })),
    },
    request: {
      ...request,
      service: { kind: 'at', moments: moments.map(away) },
      ...(request.now !== undefined && { now: away(request.now) }),
    },
  };
}

/** Lengths in whole seconds and ovens that need whole seconds, so that doubling them rounds nothing. */
export const rounded = (question: Asked): Asked =>
  inSteps(
    inKitchen(question, ({ ovens }) => ({
      nights: 'allowed',
      ovens: ovens.map((oven) => ({ ...oven, heats: HEATS, cools: COOLS })),
    })),
    (step) => ({
      ...step,
      ...(step.oven && { oven: { ...step.oven, heat: roundHeat(step.oven.heat) } }),
      length:
        step.length.kind === 'rest'
          ? step.length
          : {
              ...step.length,
              range: { ...step.length.range, usual: seconds(Math.ceil(step.length.range.usual)) },
            },
    }),
  );

/*
 * Two heats, 190 and 95 degrees below the 400 that a heater goes towards: from the room at 20 C to the one, and from the one
 * to the other, half of the way is left, which takes 2 s each; back takes 3 s. A hair less, as times are rounded up.
 */
const [WARM, HOT] = [210, 305];
const HEATS = (((200 - 20) * 60) / (2 - 1e-9)) * (Math.LN2 / Math.log(380 / 200));
const COOLS = (((220 - 180) * 60) / (3 - 1e-9)) * (Math.log(285 / 190) / Math.log(200 / 160));

function roundHeat(heat: OvenHeat): OvenHeat {
  if (heat.kind === 'off') return heat;
  const figure = celsius(heat.temperature.celsius < 40 ? WARM : HOT);
  return { kind: 'at', temperature: { ...heat.temperature, celsius: figure, figure } };
}

/** Without the last step of a component, where nothing asks for that step and it uses no component up. */
export function shorter({ workload, request }: Asked): Asked | undefined {
  const steps = workload.components.flatMap((component) => component.steps);
  const found = workload.components.find(({ keeps, steps: own }) => {
    const last = own.at(-1);
    const wanted = steps.some(
      ({ needs, holds }) => last && (needs.includes(last.id) || holds.some(({ until }) => until === last.id)),
    );
    return last && keeps === undefined && own.length > 1 && !last.oven && last.needs.length === 0 && !wanted;
  });
  return (
    found && {
      workload: {
        ...workload,
        components: workload.components.map((component) =>
          component === found ? { ...component, steps: component.steps.slice(0, -1) } : component,
        ),
      },
      request,
    }
  );
}
