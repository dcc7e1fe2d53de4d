import type { Happening, BenchState, ComponentRun } from '../bench/index.ts';
import type { ComponentId, Step, StepId } from '../plan/index.ts';
import { plus, seconds, type EpochMs, type Seconds } from '../units/index.ts';
import type { Nature } from './nature.ts';

/** Something that goes wrong in a rehearsal, once. With `from` it was thrown in while it played, and counts from then on. */
export type Fault =
  /** A step takes `factor` times as long as was drawn, in every attempt. */
  | { readonly kind: 'late'; readonly step: StepId; readonly factor: number }
  /** The cook forgets to start a step for so long after it was due; a new timetable that is taken reminds of it, unless it was thrown in. */
  | { readonly kind: 'forgets'; readonly step: StepId; readonly by: Seconds; readonly from?: EpochMs }
  /** The door is opened at `at`, locked or not, and shut again half a minute later. */
  | { readonly kind: 'door opened early'; readonly oven: string; readonly at: EpochMs }
  /** A component is spoilt half-way through one of its steps, in its first attempt. */
  | { readonly kind: 'lost'; readonly component: ComponentId; readonly during: StepId }
  /** The cook forgets to turn an oven's knob for so long after it was due. */
  | { readonly kind: 'knob forgotten'; readonly oven: string; readonly by: Seconds }
  /** An oven stands so many degrees below what its knob says once it is hot, and what is in it takes a fifth longer. */
  | { readonly kind: 'oven low'; readonly oven: string; readonly by: number; readonly from?: EpochMs }
  /** The cook does nothing at all between two moments. */
  | { readonly kind: 'hand tied'; readonly from: EpochMs; readonly until: EpochMs }
  /** A component is spoilt in its nth attempt; the cook sees it, and makes it again. */
  | {
      readonly kind: 'spoilt';
      readonly component: ComponentId;
      readonly attempt: number;
      readonly from: EpochMs;
    }
  /** Word comes that a plan is to be served at another time. */
  | { readonly kind: 'service moved'; readonly plan: number; readonly to: EpochMs; readonly from: EpochMs }
  /** From half-way through a step (or from a moment on) a probe says nothing, always the same, or nonsense; a person then ends the step by eye. */
  | {
      readonly kind: 'probe off';
      readonly probe: string;
      readonly during: StepId;
      readonly how: 'silent' | 'frozen' | 'jumping';
      readonly from?: EpochMs;
    };

/** What is baked in an oven that is too cold takes so many times as long. */
const TOO_COLD = 1.2;

/** How long a door that was opened by mistake stays open. */
const GLANCE = seconds(30);

/** Nature with the late steps stretched. */
export function withLateness(nature: Nature, faults: readonly Fault[]): Nature {
  return {
    duration(step, attempt) {
      const drawn = nature.duration(step, attempt);
      const factor = faults.reduce((product, fault) => {
        if (fault.kind === 'late' && fault.step === step.id) return product * fault.factor;
        const isCold = fault.kind === 'oven low' && bakesIn(step, fault.oven);
        return isCold ? product * TOO_COLD : product;
      }, 1);
      return seconds(Math.round(drawn * factor));
    },
  };
}

/** Whether a step bakes in an oven, or may: where the plan names none, it is taken to be this one. */
const bakesIn = ({ oven }: Step, name: string): boolean =>
  oven?.heat.kind === 'at' && (oven.oven ?? name) === name;

/** How long the cook forgets to start a step. Whoever has taken a new timetable has read it. */
export function forgetfulness(step: StepId, faults: readonly Fault[], isReplanned: boolean): Seconds {
  const lengths = faults.map((fault) => {
    const isMeant = fault.kind === 'forgets' && fault.step === step;
    return isMeant && (fault.from !== undefined || !isReplanned) ? fault.by : 0;
  });
  return seconds(Math.max(0, ...lengths));
}

/** How long the cook forgets an oven's knob. */
export function forgottenKnob(oven: string, faults: readonly Fault[]): Seconds {
  const lengths = faults.map((fault) =>
    fault.kind === 'knob forgotten' && fault.oven === oven ? fault.by : 0,
  );
  return seconds(Math.max(0, ...lengths));
}

/** What a fault makes the cook do next, and when; nothing once it has been done. */
export function mishap(
  fault: Fault,
  state: BenchState,
  steps: ReadonlyMap<StepId, Step>,
  nature: Nature,
): { readonly at: EpochMs; readonly happening: Happening } | undefined {
  switch (fault.kind) {
    case 'late':
    case 'forgets':
    case 'knob forgotten':
    case 'oven low':
    case 'probe off':
    case 'hand tied':
      return undefined;
    case 'spoilt':
      return thrownAway(fault, state);
    case 'service moved':
      return moved(fault, state);
    case 'door opened early':
      return openedDoor(fault, state);
    case 'lost':
      return loss(fault, state, steps, nature);
  }
}

function openedDoor(fault: Extract<Fault, { kind: 'door opened early' }>, state: BenchState) {
  const opened = state.history.find(
    (event) =>
      event.kind === 'door' && event.oven === fault.oven && event.door === 'open' && event.time >= fault.at,
  );
  if (!opened) {
    return { at: fault.at, happening: { kind: 'door', oven: fault.oven, door: 'open' } } as const;
  }
  const isOpen = state.ovens.some((oven) => oven.oven === fault.oven && oven.door === 'open');
  if (!isOpen) return undefined;
  return {
    at: plus(opened.time, GLANCE),
    happening: { kind: 'door', oven: fault.oven, door: 'shut' },
  } as const;
}

function loss(
  fault: Extract<Fault, { kind: 'lost' }>,
  state: BenchState,
  steps: ReadonlyMap<StepId, Step>,
  nature: Nature,
) {
  const component: ComponentRun | undefined = state.components.find(
    (run) => run.component === fault.component,
  );
  const run = component?.steps.find(({ step }) => step === fault.during);
  const step = steps.get(fault.during);
  if (!component || component.attempt > 1 || run?.state !== 'running' || !step) return undefined;
  const half = Math.floor(nature.duration(step, component.attempt) / 2);
  return {
    at: plus(run.startedAt, half),
    happening: { kind: 'lost', component: fault.component },
  } as const;
}

/** How soon a cook sees that something is spoilt. */
const SEEN = seconds(10);

function thrownAway({ component, attempt, from }: Extract<Fault, { kind: 'spoilt' }>, state: BenchState) {
  if (!isSpoilt({ component, attempt }, state)) return undefined;
  return { at: plus(from, SEEN), happening: { kind: 'lost', component } } as const;
}

/** Whether what is spoilt stands there still. */
export function isSpoilt(
  { component, attempt }: Pick<Extract<Fault, { kind: 'spoilt' }>, 'component' | 'attempt'>,
  { components }: Pick<BenchState, 'components'>,
): boolean {
  return components.some((run) => run.component === component && run.attempt === attempt);
}

function moved({ plan, to, from }: Extract<Fault, { kind: 'service moved' }>, { history }: BenchState) {
  const isTold = history.some(
    (event) => event.kind === 'service moved' && event.plan === plan && event.time >= from,
  );
  return isTold ? undefined : ({ at: from, happening: { kind: 'service moved', plan, to } } as const);
}

/** Until when hands are tied at a moment; nothing where they are free. */
export function tiedUntil(faults: readonly Fault[], at: EpochMs): EpochMs | undefined {
  return faults.find(
    (fault): fault is Extract<Fault, { kind: 'hand tied' }> =>
      fault.kind === 'hand tied' && fault.from <= at && at < fault.until,
  )?.until;
}
