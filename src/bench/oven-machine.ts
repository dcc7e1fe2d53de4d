import { assign, setup, transition } from 'xstate';
import type { Door, Kitchen, Oven, OvenHeat } from '../plan/index.ts';
import { celsius, later, plus, secondsBetween, type Celsius, type EpochMs } from '../units/index.ts';
import {
  costOf,
  reckonedHeat,
  reckonedSince,
  rightBy,
  rightFrom,
  sameHeat,
  wayTo,
} from './oven-reckoning.ts';
import type { Opening, OvenBase, OvenRun } from './state.ts';

/** What an oven's machine understands. */
export type OvenEvent =
  | { readonly type: 'SET'; readonly heat: OvenHeat; readonly at: EpochMs }
  | { readonly type: 'CLOCK'; readonly now: EpochMs }
  | { readonly type: 'OPEN'; readonly at: EpochMs; readonly early: boolean }
  | { readonly type: 'SHUT'; readonly at: EpochMs }
  | { readonly type: 'AJAR'; readonly at: EpochMs }
  /** It is known, or reckoned, what it stands at: its door was open, a cold load went in, its probe says so. */
  | {
      readonly type: 'STANDS';
      readonly at: EpochMs;
      readonly celsius: Celsius;
      readonly by: OvenBase['by'];
      readonly pace: number;
    };

interface OvenContext {
  readonly model: Oven;
  readonly room: Celsius;
  readonly run: Omit<OvenRun, 'phase'>;
  readonly phase: OvenRun['phase'];
}

/** So many openings are remembered, the latest. */
const OPENINGS = 50;

const wayAfter = ({
  context,
  event,
}: {
  context: OvenContext;
  event: OvenEvent;
}): 'up' | 'down' | 'there' => {
  const { model, room, run } = context;
  if (event.type === 'SET') return wayTo(model, event.heat, reckonedHeat(model, room, run, event.at));
  return event.type === 'STANDS' ? wayTo(model, run.heat, event.celsius) : 'there';
};

const chart = setup({
  types: { context: {} as OvenContext, events: {} as OvenEvent },
  guards: {
    toOff: ({ event }) => event.type === 'SET' && event.heat.kind === 'off',
    rising: (given) => wayAfter(given) === 'up',
    falling: (given) => wayAfter(given) === 'down',
    arrived: ({ context, event }) => event.type === 'CLOCK' && context.run.readyAt <= event.now,
  },
  actions: {
    turn: assign(({ context, event }) => {
      if (event.type !== 'SET') return {};
      const { model, room, run } = context;
      const { since: _, air: __, ...rest } = run;
      const from = reckonedHeat(model, room, run, event.at);
      const readyAt = rightBy(model, room, from, event.heat, event.at);
      return { run: { ...rest, heat: event.heat, setAt: event.at, from, readyAt } };
    }),
    stand: assign(({ context, event }) => {
      if (event.type !== 'STANDS') return {};
      const { model, room, run, phase } = context;
      const { at, by, pace } = event;
      const soaks = phase === 'heating' && (run.since?.soaks ?? true);
      const base: OvenBase = { at, celsius: event.celsius, by, pace, soaks };
      return { run: { ...run, since: base, readyAt: rightFrom(model, room, run, base) } };
    }),
    open: assign(({ context, event }) => {
      if (event.type !== 'OPEN') return {};
      const { run } = context;
      return {
        run: {
          ...run,
          openings: [...run.openings, { at: event.at }].slice(-OPENINGS),
          earlyOpenings: event.early ? [...run.earlyOpenings, event.at] : run.earlyOpenings,
        },
      };
    }),
    close: assign(({ context, event }) => {
      if (event.type !== 'SHUT' && event.type !== 'AJAR') return {};
      const { model, room, run } = context;
      const last = run.openings.at(-1);
      if (!last || last.shutAt !== undefined) return {};
      const known: Opening = { ...last, shutAt: event.at, ...costIn(model, room, run, last.at, event.at) };
      return { run: { ...run, openings: [...run.openings.slice(0, -1), known] } };
    }),
  },
});

/** What an opening has cost an oven that was not off. */
function costIn(
  model: Oven,
  room: Celsius,
  run: OvenContext['run'],
  from: EpochMs,
  to: EpochMs,
): Pick<Opening, 'fell' | 'backAt'> {
  if (run.heat.kind === 'off') return {};
  // The door was reckoned with from its opening on, so that is where the oven stood then.
  const before = run.since?.at === from ? run.since.celsius : reckonedHeat(model, room, run, from);
  const { fell, back } = costOf(model, room, before, secondsBetween(from, to));
  const isFalling = wayTo(model, run.heat, before) === 'down';
  return { fell: celsius(Math.round(fell)), ...(isFalling ? {} : { backAt: plus(to, back) }) };
}

const turned = [
  { guard: 'toOff' as const, target: 'off', actions: 'turn' as const },
  { guard: 'rising' as const, target: 'heating', actions: 'turn' as const },
  { guard: 'falling' as const, target: 'cooling', actions: 'turn' as const },
  { target: 'at temperature', actions: 'turn' as const },
];
const stands = [
  { guard: 'rising' as const, target: 'heating', actions: 'stand' as const },
  { guard: 'falling' as const, target: 'cooling', actions: 'stand' as const },
  { actions: 'stand' as const },
];
const travelling = {
  on: { SET: turned, STANDS: stands, CLOCK: { guard: 'arrived' as const, target: 'at temperature' } },
};

/** The statechart of every oven: its heat and its door, side by side. */
export const ovenMachine = chart.createMachine({
  id: 'oven',
  context: {} as OvenContext,
  type: 'parallel',
  states: {
    heat: {
      initial: 'off',
      states: {
        off: { on: { SET: turned, STANDS: { actions: 'stand' } } },
        heating: travelling,
        cooling: travelling,
        'at temperature': { on: { SET: turned, STANDS: stands } },
      },
    },
    door: {
      initial: 'shut',
      states: {
        shut: { on: { OPEN: { target: 'open', actions: 'open' }, AJAR: 'ajar' } },
        ajar: { on: { OPEN: { target: 'open', actions: 'open' }, SHUT: 'shut' } },
        open: {
          on: { SHUT: { target: 'shut', actions: 'close' }, AJAR: { target: 'ajar', actions: 'close' } },
        },
      },
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
    openings: [],
    turned: [],
    phase: 'off',
    door: 'shut',
  };
}

/** Gives an event to an oven's machine; the same object comes back if it changes nothing. */
export function stepOven(model: Oven, kitchen: Kitchen, oven: OvenRun, event: OvenEvent): OvenRun {
  if (event.type === 'SET' && sameHeat(event.heat, oven.heat)) return oven;
  const { phase, ...run } = oven;
  const value = { heat: phase, door: run.door };
  const snapshot = ovenMachine.resolveState({ value, context: { model, room: kitchen.ambient, run, phase } });
  const [next] = transition(ovenMachine, snapshot, event);
  const { heat, door } = next.value as { heat: OvenRun['phase']; door: OvenRun['door'] };
  if (next.context.run === run && heat === phase && door === run.door) return oven;
  const after = { ...next.context.run, phase: heat, door };
  return door === run.door || !('at' in event) ? after : withDoor(model, kitchen, oven, after, event.at);
}

/** From the moment at which a door is moved its oven follows another curve. */
function withDoor(model: Oven, kitchen: Kitchen, before: OvenRun, after: OvenRun, at: EpochMs): OvenRun {
  const moment = later(at, reckonedSince(before));
  const stood = reckonedHeat(model, kitchen.ambient, before, moment);
  const pace = before.since?.pace ?? 1;
  return stepOven(model, kitchen, after, { type: 'STANDS', at: moment, celsius: stood, by: 'door', pace });
}

/** The door as a demand wants it while it runs; a usable door is shut in between. */
export function doorEvent(door: Door, at: EpochMs): OvenEvent {
  return door === 'ajar' ? { type: 'AJAR', at } : { type: 'SHUT', at };
}

/** When an oven on its way arrives. */
export function ovenDeadline(oven: OvenRun): EpochMs | undefined {
  return oven.phase === 'heating' || oven.phase === 'cooling' ? oven.readyAt : undefined;
}
