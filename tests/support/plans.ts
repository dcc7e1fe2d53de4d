import { loadWorkload, type StepId, type Workload } from '../../src/plan/index.ts';
import { planTimetable, type Timetable } from '../../src/planner/index.ts';
import type { RunSetup } from '../../src/bench/index.ts';
import { epochMs, temperatureOf, type EpochMs } from '../../src/units/index.ts';

const KITCHEN = `
thirdhand: 1
kitchen: test
time zone: UTC
cooks: 1
near: 2
room: 20 C
ovens: { oven: { shelves: 2, heats: 20 C/min, cools: 4 C/min, tolerance: 5 C, soak: 5 min } }
hobs: 2
cold: { fridge shelf: 2, freezer shelf: 2 }
tools: { mixer: 1, saucepan: 2, tray: { count: 4, carries: pieces } }
`;

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

/** A workload from the text of a plan's components (and whatever else it says), on one small kitchen. */
export function workloadOf(text: string, kitchen = KITCHEN): Workload {
  const head = text.includes('thirdhand:')
    ? ''
    : 'thirdhand: 1\ntitle: Test\nmakes: 10 pieces\nmargin: 0 min\nkitchen: test\n';
  const loaded = loadWorkload([{ file: 'test.yaml', bytes: bytes(head + text) }], {
    findKitchen: () => ({ file: 'kitchen.yaml', bytes: bytes(kitchen) }),
    timeZone: 'UTC',
  });
  if (!loaded.workload)
    throw new Error(`the test plan is wrong: ${JSON.stringify(loaded.diagnostics, null, 2)}`);
  return loaded.workload;
}

/** 2027-03-01 12:00 UTC: when test runs begin. */
export const NOON: EpochMs = epochMs(Date.UTC(2027, 2, 1, 12));

/** A moment on the day of the test runs: `at('13:05')`, or with seconds. */
export function at(clock: string): EpochMs {
  const [hour = 0, minute = 0, second = 0] = clock.split(':').map(Number);
  return epochMs(Date.UTC(2027, 2, 1, hour, minute, second));
}

/**
 * A run with a timetable written by hand: for each step its start and end (`'cream.warm': '12:00-12:06'`), and the
 * settings of the one oven (`'12:10 220 C for shells.bake by 12:25'`, `'13:00 off for shells.dry by 13:00'`).
 */
export function setupBy(
  text: string,
  service: string,
  steps: Readonly<Record<string, string>>,
  settings: readonly string[] = [],
): RunSetup {
  const workload = workloadOf(text);
  const planned = workload.components
    .flatMap((component) => component.steps)
    .map((step) => {
      const [start = '', end = ''] = steps[step.id]?.split('-') ?? [];
      if (end === '') throw new Error(`the test timetable has no ${step.id}`);
      return { step: step.id, start: at(start), end: at(end), ...(step.oven ? { oven: 'oven' } : {}) };
    })
    .toSorted((a, b) => a.start - b.start);
  const knobs = settings.map((line) => {
    const [, time = '', figure, step, by = ''] = /^(\S+) (?:(\d+) C|off) for (.+) by (\S+)$/.exec(line) ?? [];
    const heat =
      figure === undefined
        ? ({ kind: 'off' } as const)
        : ({ kind: 'at', temperature: temperatureOf(Number(figure), 'C') } as const);
    return { oven: 'oven', at: at(time), hotBy: at(by), heat, step: step as StepId };
  });
  return {
    run: 'test',
    workload,
    timetable: { service: [at(service)], steps: planned, settings: knobs },
    begunAt: NOON,
  };
}

/** What a run of the plan begins from, planned by the planner for the soonest service after noon or for a given one. */
export function setupOf(text: string, service?: string, kitchen?: string): RunSetup {
  const workload = workloadOf(text, kitchen);
  return { run: 'test', workload, timetable: timetableOf(workload, service), begunAt: NOON };
}

export function timetableOf(workload: Workload, service?: string): Timetable {
  const result = planTimetable(workload, {
    service:
      service === undefined
        ? { kind: 'soonest' }
        : { kind: 'at', moments: workload.plans.map(() => at(service)) },
    now: NOON,
  });
  if (result.status !== 'optimal' && result.status !== 'feasible')
    throw new Error(`no timetable: ${JSON.stringify(result)}`);
  return result.timetable;
}
