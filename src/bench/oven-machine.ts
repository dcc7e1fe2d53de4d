import { assign, setup, transition } from 'xstate';
import type { Door, Kitchen, Oven, OvenHeat } from '../plan/index.ts';
import { celsius, plus, secondsBetween, type Celsius, type EpochMs } from '../units/index.ts';
import type { OvenRun } from './state.ts';

/** What an oven's machine understands. */
export type OvenEvent =
  | { readonly type: 'SET'; readonly heat: OvenHeat; readonly at: EpochMs }
  | { readonly type: 'CLOCK'; readonly now: EpochMs }
  | { readonly type: 'OPEN'; readonly at: EpochMs; readonly early: boolean }
  | { readonly type: 'SHUT' }
  | { readonly type: 'AJAR' };

interface OvenContext {
  readonly model: Oven;
  readonly room: Celsius;
  readonly run: Omit<OvenRun, 'phase' | 'door'>;
}

const goalOf = (heat: OvenHeat, room: Celsius): Celsius =>
  heat.kind === 'off' ? room : heat.temperature.celsius;

/** Whether two settings of the knob are the same one. */
export function sameHeat(a: OvenHeat, b: OvenHeat): boolean {
  return a.kind === 'at' && b.kind === 'at'
    ? a.temperature.celsius === b.temperature.celsius
    : a.kind === b.kind;
}

/** Seconds from one temperature to another at the oven's rates, without soak. */
function travel(model: Oven, from: Celsius, to: Celsius): number {
  return to >= from ? ((to - from) / model.heats) * 60 : ((from - to) / model.cools) * 60;
}

/** What the oven is reckoned to stand at: a straight line at its rates from where it was when the knob was turned. */
export function reckonedHeat(
  model: Oven,
  room: Celsius,
  run: Pick<OvenRun, 'heat' | 'from' | 'setAt'>,
  at: EpochMs,
): Celsius {
  const goal = goalOf(run.heat, room);
  const whole = travel(model, run.from, goal);
  const gone = secondsBetween(run.setAt, at);
  if (whole <= 0 || gone >= whole) return goal;
  return celsius(run.from + ((goal - run.from) * Math.max(0, gone)) / whole);
}

/** When an oven turned to `heat` at `at` is right: there, and soaked where it had to heat. */
export function rightBy(model: Oven, from: Celsius, heat: OvenHeat, at: EpochMs): EpochMs {
  if (heat.kind === 'off') return at;
  const to = heat.temperature.celsius;
  if (Math.abs(to - from) <= model.tolerance) return at;
  return plus(at, travel(model, from, to) + (to > from ? model.soak : 0));
}

const chart = setup({
  types: { context: {} as OvenContext, events: {} as OvenEvent },
  guards: {
    toOff: ({ event }) => event.type === 'SET' && event.heat.kind === 'off',
    rising: ({ context, event }) =>
      event.type === 'SET' &&
      event.heat.kind === 'at' &&
      event.heat.temperature.celsius - reckonedHeat(context.model, context.room, context.run, event.at) >
        context.model.tolerance,
    falling: ({ context, event }) =>
      event.type === 'SET' &&
      event.heat.kind === 'at' &&
      reckonedHeat(context.model, context.room, context.run, event.at) - event.heat.temperature.celsius >
        context.model.tolerance,
    arrived: ({ context, event }) => event.type === 'CLOCK' && context.run.readyAt <= event.now,
  },
  actions: {
    turn: assign(({ context, event }) => {
      if (event.type !== 'SET') return {};
      const { model, room, run } = context;
      const from = reckonedHeat(model, room, run, event.at);
      return {
        run: {
          ...run,
          heat: event.heat,
          setAt: event.at,
          from,
          readyAt: rightBy(model, from, event.heat, event.at),
        },
      };
    }),
    noteOpening: assign(({ context, event }) =>
      event.type === 'OPEN' && event.early
        ? { run: { ...context.run, earlyOpenings: [...context.run.earlyOpenings, event.at] } }
        : {},
    ),
  },
});

const turned = [
  { guard: 'toOff' as const, target: 'off', actions: 'turn' as const },
  { guard: 'rising' as const, target: 'heating', actions: 'turn' as const },
  { guard: 'falling' as const, target: 'cooling', actions: 'turn' as const },
  { target: 'at temperature', actions: 'turn' as const },
];
const travelling = { on: { SET: turned, CLOCK: { guard: 'arrived' as const, target: 'at temperature' } } };

/** The statechart of every oven: its heat and its door, side by side. */
export const ovenMachine = chart.createMachine({
  id: 'oven',
  context: {} as OvenContext,
  type: 'parallel',
  states: {
    heat: {
      initial: 'off',
      states: {
        off: { on: { SET: turned } },
        heating: travelling,
        cooling: travelling,
        'at temperature': { on: { SET: turned } },
      },
    },
    door: {
      initial: 'shut',
      on: { OPEN: { target: '.open', actions: 'noteOpening' }, SHUT: '.shut', AJAR: '.ajar' },
      states: { shut: {}, open: {}, ajar: {} },
    },
  },
});

/** An oven that is off, shut, and as warm as the room. */
export function beginOven(oven: Oven, kitchen: Kitchen, at: EpochMs): OvenRun {
  return {
    oven: oven.name,
    heat: { kind: 'off' },
    setAt: at,
    from: kitchen.ambient,
    readyAt: at,
    earlyOpenings: [],
    phase: 'off',
    door: 'shut',
  };
}

/** Gives an event to an oven's machine; the same object comes back if it changes nothing. */
export function stepOven(model: Oven, kitchen: Kitchen, oven: OvenRun, event: OvenEvent): OvenRun {
  if (event.type === 'SET' && sameHeat(event.heat, oven.heat)) return oven;
  const { phase, door, ...run } = oven;
  const value = { heat: phase, door };
  const snapshot = ovenMachine.resolveState({ value, context: { model, room: kitchen.ambient, run } });
  const [next] = transition(ovenMachine, snapshot, event);
  const nextValue = next.value as { heat: OvenRun['phase']; door: OvenRun['door'] };
  if (next.context.run === run && nextValue.heat === phase && nextValue.door === door) return oven;
  return { ...next.context.run, phase: nextValue.heat, door: nextValue.door };
}

/** The door as a demand wants it while it runs; a usable door is shut in between. */
export function doorEvent(door: Door): OvenEvent {
  return door === 'ajar' ? { type: 'AJAR' } : { type: 'SHUT' };
}

/** When an oven on its way arrives. */
export function ovenDeadline(oven: OvenRun): EpochMs | undefined {
  return oven.phase === 'heating' || oven.phase === 'cooling' ? oven.readyAt : undefined;
}
