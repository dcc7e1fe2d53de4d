import { loaded, secondsTo, secondsUntilRight, temperatureAfter } from '../../heat/index.ts';
import type { OvenPart, StepPart } from './parts.ts';

/*
 * An oven as the bench reckons it (bench/oven-machine.ts and oven-reckoning.ts), without readings: what its knob, its door and
 * its loads make of it.
 */

/** Whoever turns a tray has the door open for about so long. */
const TURN_OPEN_MS = 15_000;

/** What it is reckoned to stand at. */
export function standsAt(oven: OvenPart, at: number): number {
  const { model, base, isOn, goal, door } = oven;
  return temperatureAfter(
    model,
    { from: base, goal: isOn ? goal : undefined, door },
    (at - oven.baseAt) / 1000,
  );
}

/** When an oven that stands so is right, if its knob is turned to `goal` at a moment. */
export function rightBy({ model }: OvenPart, from: number, goal: number, at: number): number {
  return at + Math.ceil(secondsUntilRight(model, from, goal)) * 1000;
}

/** What it has fallen to when it has been off, its door shut, for so long (ms). */
export const fallenFrom = ({ model }: OvenPart, from: number, length: number): number =>
  temperatureAfter(model, { from, goal: undefined, door: 'shut' }, length / 1000);

/** Turns the knob; no earlier than it was last known what the oven stood at. */
export function turnKnob(oven: OvenPart, isOn: boolean, goal: number, now: number): void {
  arrive(oven, now);
  setKnob(oven, isOn, goal, now);
}

function setKnob(oven: OvenPart, isOn: boolean, goal: number, now: number): void {
  if (isKnobAt(oven, isOn, goal)) return;
  const at = Math.max(now, oven.baseAt);
  const from = standsAt(oven, at);
  oven.readyAt = isOn ? rightBy(oven, from, goal, at) : at;
  oven.isOn = isOn;
  oven.goal = goal;
  oven.setAt = at;
  oven.baseAt = at;
  oven.base = from;
  oven.soaks = true;
  oven.phase = isOn ? way(oven, from) : 'off';
}

/** Whether the knob stands so. */
export const isKnobAt = (oven: OvenPart, isOn: boolean, goal: number): boolean =>
  isOn === oven.isOn && (!isOn || goal === oven.goal);

function way({ model, goal }: OvenPart, from: number): 'heating' | 'cooling' | 'there' {
  if (Math.abs(goal - from) <= model.tolerance) return 'there';
  return goal > from ? 'heating' : 'cooling';
}

/** A load goes in: knob and door as its step wants them, and a cold one takes the oven down. */
export function putIn(oven: OvenPart, step: StepPart, now: number): void {
  arrive(oven, now);
  const at = Math.max(now, oven.baseAt);
  setKnob(oven, step.isHot, step.celsius, at);
  moveDoor(oven, step.door === 'ajar' ? 'ajar' : 'shut', at);
  if (!step.isHot || step.followsInOven || oven.model.guessed.includes('load')) return;
  stand(oven, loaded(oven.model, standsAt(oven, at), step.shelves), at);
}

/** What is in there is turned round: the door was open for a moment, and stands as it did. */
export function turnRound(oven: OvenPart, now: number): void {
  const { door } = oven;
  if (door === 'open') return;
  arrive(oven, now);
  moveDoor(oven, 'open', Math.max(now - TURN_OPEN_MS, oven.baseAt));
  moveDoor(oven, door, now);
}

/** From the moment at which its door is moved an oven follows another curve. */
function moveDoor(oven: OvenPart, door: OvenPart['door'], now: number): void {
  if (door === oven.door) return;
  const at = Math.max(now, oven.baseAt);
  const stood = standsAt(oven, at);
  oven.door = door;
  stand(oven, stood, at);
}

/** It is reckoned to stand so from now on. */
function stand(oven: OvenPart, celsius: number, at: number): void {
  oven.soaks = oven.phase === 'heating' && oven.soaks;
  oven.base = celsius;
  oven.baseAt = at;
  oven.readyAt = oven.isOn ? rightFrom(oven, celsius, at) : at;
  if (oven.phase === 'off') return;
  const goes = oven.isOn ? way(oven, celsius) : 'there';
  if (goes !== 'there') oven.phase = goes;
}

function rightFrom({ model, goal, readyAt, soaks }: OvenPart, celsius: number, at: number): number {
  const there = at + Math.ceil(secondsTo(model, celsius, goal)) * 1000;
  // What was there when its door was opened is right when it was to be, or when it has come back.
  if (Math.abs(goal - celsius) <= model.tolerance) return Math.max(readyAt, goal > celsius ? there : at);
  if (celsius > goal) return there;
  return there + (soaks ? Math.round(model.soak * 1000) : 0);
}

/** An oven on its way may have arrived meanwhile; asked before anything is done to it. */
function arrive(oven: OvenPart, now: number): void {
  if (isOnItsWay(oven) && oven.readyAt <= now) oven.phase = 'there';
}

const isOnItsWay = ({ phase }: OvenPart): boolean => phase === 'heating' || phase === 'cooling';
