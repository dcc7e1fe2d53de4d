import type { BenchState } from '../bench/index.ts';
import { componentNames, type Step, type Workload } from '../plan/index.ts';
import { minutes, plus, secondsBetween, type EpochMs } from '../units/index.ts';
import type { Troupe } from './cook.ts';
import type { Fault } from './faults.ts';
import { sceneOf, type Going } from './hands.ts';
import { probesOf } from './probes.ts';

/** Something that can be made to go wrong at a moment of a rehearsal: what, for people, and the faults it is made of. */
export interface Mishap {
  /** `cream: spoilt, to be made again`. Names are the plan's. */
  readonly what: string;
  readonly faults: readonly Fault[];
}

const TIED = minutes(5);
const EARLIER = minutes(10);
const FORGOTTEN = minutes(10);
const COLD_C = 40;
/** A slow step takes so many times as long. */
const SLOW = 1.5;
/** There are nine figures on a board. */
const MOST = 9;

/**
 * What can be made to go wrong now, at most nine things: an oven, a hand, a component, the guests, a probe, a step that is
 * slow, a start that is forgotten. Only what would make a difference is offered.
 */
export function mishapsAt(
  state: BenchState,
  now: EpochMs,
  troupe: Troupe,
  hands: 'simulated' | 'mine',
): readonly Mishap[] {
  const { going } = sceneOf(state, troupe.steps);
  const { workload } = state.setup;
  return [
    ...ovensLow(state, now, troupe),
    handTied(going, now, troupe),
    ...spoilt(state, now, troupe).slice(0, 3),
    ...guestsEarlier(state, now),
    ...probesOff(going, now, troupe).slice(0, 1),
    ...slow(going, workload, troupe).slice(0, 1),
    ...(hands === 'mine' ? [] : startForgotten(state, now, troupe)),
  ].slice(0, MOST);
}

/** An oven that something still wants stands too low. */
function ovensLow(
  { setup, components, timetable }: BenchState,
  from: EpochMs,
  { faults, steps }: Troupe,
): Mishap[] {
  const open = new Set(
    components.flatMap((run) =>
      run.steps.flatMap((step) => (step.state === 'waiting' || step.state === 'running' ? [step.step] : [])),
    ),
  );
  const wanted = new Set(
    timetable.steps.flatMap(({ step, oven }) =>
      oven !== undefined && open.has(step) && steps.get(step)?.oven?.heat.kind === 'at' ? [oven] : [],
    ),
  );
  return setup.workload.kitchen.ovens.flatMap(({ name }): Mishap[] => {
    const isLow = faults.some((fault) => fault.kind === 'oven low' && fault.oven === name);
    if (isLow || !wanted.has(name)) return [];
    return [
      {
        what: `${name}: stands ${COLD_C} C low`,
        faults: [{ kind: 'oven low', oven: name, by: COLD_C, from }],
      },
    ];
  });
}

/** What both hands are on takes longer by as long as one of them is tied. */
function handTied(going: readonly Going[], from: EpochMs, { nature }: Troupe): Mishap {
  const longer = going.flatMap(({ step, attempt }): Fault[] => {
    const drawn = nature.duration(step, attempt);
    return step.hands === 'busy' && drawn > 0
      ? [{ kind: 'late', step: step.id, factor: (drawn + TIED) / drawn }]
      : [];
  });
  const until = plus(from, TIED);
  return {
    what: `a hand is tied for ${TIED / 60} min`,
    faults: [{ kind: 'hand tied', from, until }, ...longer],
  };
}

/** Components that can be spoilt: those with a step going, then those that wait to be used. */
function spoilt({ components, setup }: BenchState, from: EpochMs, { faults }: Troupe): Mishap[] {
  const isUsed = (run: BenchState['components'][number]): boolean => {
    const last = run.steps.at(-1)?.step;
    return setup.workload.components.some((component, index) =>
      component.steps.some(
        (step, place) =>
          last !== undefined &&
          step.needs.includes(last) &&
          ['ended', 'skipped'].includes(components[index]?.steps[place]?.state ?? ''),
      ),
    );
  };
  const hasBegun = components.filter(
    (run) => run.steps.some(({ state }) => state !== 'waiting') && !isUsed(run),
  );
  const isGoing = (run: BenchState['components'][number]): boolean =>
    run.steps.some(({ state }) => state === 'running');
  return hasBegun
    .toSorted((a, b) => Number(isGoing(b)) - Number(isGoing(a)))
    .flatMap(({ component, attempt }): Mishap[] => {
      const name = componentNames(setup.workload).get(component) ?? '';
      const known = faults.some(
        (fault) => fault.kind === 'spoilt' && fault.component === component && fault.attempt === attempt,
      );
      return known
        ? []
        : [
            {
              what: `${name}: spoilt, to be made again`,
              faults: [{ kind: 'spoilt', component, attempt, from }],
            },
          ];
    });
}

/** What is served next is wanted earlier. */
function guestsEarlier({ setup, timetable, servings }: BenchState, from: EpochMs): Mishap[] {
  // An audience sees a demonstration when it begins.
  if (setup.rundown) return [];
  const next = [...new Set(timetable.service)].toSorted((a, b) => a - b)[servings.length];
  if (next === undefined || secondsBetween(from, next) <= EARLIER) return [];
  const to = plus(next, 0 - EARLIER);
  return [
    {
      what: `the guests come ${EARLIER / 60} min earlier`,
      faults: timetable.service.flatMap((moment, plan): Fault[] =>
        moment === next ? [{ kind: 'service moved', plan, to, from }] : [],
      ),
    },
  ];
}

function probesOff(going: readonly Going[], from: EpochMs, { faults }: Troupe): Mishap[] {
  return going.flatMap(({ step, run }): Mishap[] =>
    run.readyAt !== undefined
      ? []
      : probesOf(step)
          .filter(
            ({ probe }) =>
              !faults.some(
                (fault) => fault.kind === 'probe off' && fault.probe === probe && fault.during === step.id,
              ),
          )
          .map(({ probe }) => ({
            what: `probe ${probe}: says nothing any more`,
            faults: [{ kind: 'probe off', probe, during: step.id, how: 'silent', from }],
          })),
  );
}

function slow(going: readonly Going[], workload: Workload, { faults }: Troupe): Mishap[] {
  return going.flatMap(({ step }): Mishap[] => {
    const isSlow = faults.some((fault) => fault.kind === 'late' && fault.step === step.id);
    if (isSlow || step.length.kind === 'rest') return [];
    if (step.length.kind === 'takes' && !step.until && step.length.range.low === step.length.range.high)
      return [];
    return [
      {
        what: `${called(workload, step)} takes half as long again`,
        faults: [{ kind: 'late', step: step.id, factor: SLOW }],
      },
    ];
  });
}

/** The start that is called, or comes next, is forgotten. */
function startForgotten(
  { calls, timetable, components, setup }: BenchState,
  from: EpochMs,
  troupe: Troupe,
): Mishap[] {
  const asked = calls.flatMap(({ asks }) => (asks.kind === 'start' ? [asks.step] : []));
  const waiting = new Set(
    components.flatMap((run) => run.steps.flatMap((each) => (each.state === 'waiting' ? [each.step] : []))),
  );
  const coming = timetable.steps.map(({ step }) => step).filter((id) => waiting.has(id));
  const step = [...asked, ...coming]
    .map((id) => troupe.steps.get(id))
    .find(
      (each) => each && !troupe.faults.some((fault) => fault.kind === 'forgets' && fault.step === each.id),
    );
  return step
    ? [
        {
          what: `${called(setup.workload, step)} is forgotten for ${FORGOTTEN / 60} min`,
          faults: [{ kind: 'forgets', step: step.id, by: FORGOTTEN, from }],
        },
      ]
    : [];
}

const called = (workload: Workload, { component, name }: Step): string =>
  `${componentNames(workload).get(component) ?? ''}: ${name}`;
