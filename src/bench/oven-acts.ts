import { ovenModel } from '../heat/index.ts';
import type { Oven, Step, StepId } from '../plan/index.ts';
import { later, plus, type EpochMs } from '../units/index.ts';
import { acted, refused, type Acted } from './acted.ts';
import { heatWords } from './oven-calls.ts';
import { called, followsInOven, lookup, must, ovenOf, ovenRun, runsOf } from './lookup.ts';
import { doorEvent, stepOven, type OvenEvent } from './oven-machine.ts';
import { afterLoad, reckonedHeat, reckonedSince, sameHeat } from './oven-reckoning.ts';
import type { BenchState, LogLine, OvenRun } from './state.ts';

/** Whoever turns a tray has the door open for about so long. */
const TURN_OPEN_S = 15;
/** A tray may be turned so long before it is time. */
const TURN_EARLY_S = 60;

/** A load that goes in sets the knob and the door as its step wants them, and takes the oven down if it is cold. */
export function intoOven(state: BenchState, step: Step, at: EpochMs, now: EpochMs): BenchState {
  const oven = ovenOf(state, step);
  const run = oven === undefined ? undefined : ovenRun(state, oven);
  if (!step.oven || !run) return state;
  const moment = later(at, reckonedSince(run));
  let next = forget(state, run.oven, step.id);
  if (!sameHeat(run.heat, step.oven.heat)) {
    next = toOven(next, run.oven, { type: 'SET', heat: step.oven.heat, at: moment }, [
      { at: now, kind: 'oven', text: `${run.oven} ${heatWords(step.oven.heat)}` },
    ]);
  }
  next = toOven(next, run.oven, doorEvent(step.oven.door, moment), []);
  return coldLoad(next, run.oven, step, moment);
}

/** What stays in from the step before is as hot as the oven; how cold a load takes one down is reckoned where it is known. */
function coldLoad(state: BenchState, oven: string, step: Step, at: EpochMs): BenchState {
  const { kitchen } = state.setup.workload;
  const { placed, ovens } = lookup(state.setup.workload);
  const model = must(ovens, oven);
  const run = ovenRun(state, oven);
  const isGuess = ovenModel(model, kitchen.ambient).guessed.includes('load');
  if (!run || !step.oven || step.oven.heat.kind === 'off' || isGuess) return state;
  if (followsInOven(must(placed, step.id))) return state;
  const stood = reckonedHeat(model, kitchen.ambient, run, at);
  const left = afterLoad(model, kitchen.ambient, stood, step.oven.shelves);
  return toOven(
    state,
    oven,
    { type: 'STANDS', at, celsius: left, by: 'load', pace: run.since?.pace ?? 1 },
    [],
  );
}

/** A step that goes in anew has not been turned yet. */
function forget(state: BenchState, oven: string, step: StepId): BenchState {
  const ovens = state.ovens.map((run) =>
    run.oven === oven && run.turned.includes(step)
      ? { ...run, turned: run.turned.filter((id) => id !== step) }
      : run,
  );
  return { ...state, ovens };
}

/** Gives an event to one oven's machine. */
export function toOven(
  state: BenchState,
  oven: string,
  event: OvenEvent,
  lines: readonly LogLine[],
): BenchState {
  const { kitchen } = state.setup.workload;
  const model: Oven = must(lookup(state.setup.workload).ovens, oven);
  const ovens = state.ovens.map((run): OvenRun =>
    run.oven === oven ? stepOven(model, kitchen, run, event) : run,
  );
  return { ...state, ovens, log: lines.length > 0 ? [...state.log, ...lines] : state.log };
}

/** The knob was turned, so that the oven comes to `heat`: what its knob says is another thing where it stands off it. */
export function setOven(state: BenchState, oven: string, heat: OvenRun['heat'], time: EpochMs): Acted {
  const run = ovenRun(state, oven);
  if (!run) return refused(`the kitchen has no oven called ${oven}`);
  return acted(
    toOven(state, oven, { type: 'SET', heat, at: later(time, reckonedSince(run)) }, [
      { at: time, kind: 'oven', text: `${oven} ${heatWords(heat)}` },
    ]),
  );
}

export function door(state: BenchState, oven: string, to: OvenRun['door'], time: EpochMs): Acted {
  const run = ovenRun(state, oven);
  if (!run) return refused(`the kitchen has no oven called ${oven}`);
  const isLocked = run.lockedUntil !== undefined && run.lockedUntil.at > time;
  const early = to === 'open' && isLocked && !mayBeTurned(state, oven, time);
  const event: OvenEvent = to === 'open' ? { type: 'OPEN', at: time, early } : doorEvent(to, time);
  const text = `${oven} door ${to}${early ? ', before it may be' : ''}`;
  return acted(toOven(state, oven, event, [{ at: time, kind: 'oven', text }]));
}

/** Whether something in an oven is to be turned about now: for that the door may be opened whatever wants it shut. */
function mayBeTurned(state: BenchState, oven: string, time: EpochMs): boolean {
  const { placed } = lookup(state.setup.workload);
  return [...runsOf(state).values()].some((run) => {
    const { step } = must(placed, run.step);
    if (run.state !== 'running' || step.turn === undefined || ovenOf(state, step) !== oven) return false;
    const isTurned = ovenRun(state, oven)?.turned.includes(step.id) ?? false;
    return !isTurned && time >= plus(run.startedAt, step.turn - TURN_EARLY_S);
  });
}

/** What is in the oven for a step was turned round: a short opening that is allowed for. */
export function turned(state: BenchState, id: StepId, time: EpochMs): Acted {
  const placed = lookup(state.setup.workload).placed.get(id);
  if (!placed) return refused(`the plan has no step ${id}`);
  const oven = ovenOf(state, placed.step);
  const run = oven === undefined ? undefined : ovenRun(state, oven);
  if (placed.step.turn === undefined || !run) return refused(`${called(placed)} is not to be turned`);
  if (must(runsOf(state), id).state !== 'running') return refused(`${called(placed)} is not in the oven`);
  if (run.turned.includes(id)) return refused(`${called(placed)} has been turned already`);
  const text = `${called(placed)} turned round in the ${run.oven}`;
  const opened = run.door === 'open' ? state : openedAndShut(state, run, time);
  const ovens = opened.ovens.map((each) =>
    each.oven === run.oven ? { ...each, turned: [...each.turned, id] } : each,
  );
  const line: LogLine = { at: time, kind: 'oven', component: placed.component.id, text };
  return acted({ ...opened, ovens, log: [...opened.log, line] });
}

/** The door was open for as long as it takes to turn a tray, and is as it was again. */
function openedAndShut(state: BenchState, run: OvenRun, time: EpochMs): BenchState {
  const began = later(plus(time, -TURN_OPEN_S), reckonedSince(run));
  const open = toOven(state, run.oven, { type: 'OPEN', at: began, early: false }, []);
  return toOven(
    open,
    run.oven,
    run.door === 'ajar' ? { type: 'AJAR', at: time } : { type: 'SHUT', at: time },
    [],
  );
}
