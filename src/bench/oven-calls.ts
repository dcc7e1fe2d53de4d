import { knobFor, ovenModel } from '../heat/index.ts';
import { knobMoment, stillBefore, type Course } from './course.ts';
import { promisedDue } from './promise.ts';
import { sameHeat } from './oven-reckoning.ts';
import type { OvenHeat } from '../plan/index.ts';
import type { OvenSetting, Timetable } from '../planner/index.ts';
import { formatTemperature, later, plus, temperatureOf, wallClock, type EpochMs } from '../units/index.ts';
import type { WantedCall } from './calls.ts';
import {
  componentRun,
  followsInOven,
  lookup,
  must,
  ovenOf,
  ovenRun,
  planned,
  runsOf,
  type Placed,
} from './lookup.ts';
import type { BenchState, ComponentRun, StepRun } from './state.ts';
import type { Watch } from './watch.ts';

/** A call to turn a knob may be answered so long before it is due; one to turn a tray a little. */
const OPEN_BEFORE_S = 300;
const TURN_BEFORE_S = 60;

/**
 * The call to turn a knob ahead of a demand, or off when the oven's last load is out. A knob that is turned at the very
 * start of a step (lowering within a bake, off for drying) is part of the call that starts it.
 */
export function ovenCall(
  state: BenchState,
  setting: OvenSetting,
  course: Course,
  watch: Watch,
): WantedCall[] {
  const placed = must(lookup(state.setup.workload).placed, setting.step);
  const { step, component } = placed;
  const run = ovenRun(state, setting.oven);
  if (!run || sameHeat(run.heat, setting.heat)) return [];
  const due = knobDue(state, placed, setting, course, watch);
  if (due === undefined) return [];
  if (!watch.reached(plus(due, -OPEN_BEFORE_S))) return [];
  const clock = (moment: EpochMs): string => wallClock(moment, state.setup.workload.kitchen.timeZone);
  const goal = turnsOffAfter(placed, setting)
    ? ''
    : must(runsOf(state), step.id).state === 'running'
      ? ` for ${placed.name}, which is in it`
      : ` for ${placed.name}${setting.hotBy === setting.at ? '' : `, right by ${clock(plus(due, (setting.hotBy - setting.at) / 1000))}`}`;
  const attempt = componentRun(state, component.id).attempt;
  return [
    {
      key: `oven ${setting.oven} ${heatWords(setting.heat)} for ${step.id}#${attempt}`,
      asks: { kind: 'oven set', oven: setting.oven, heat: setting.heat, step: step.id },
      component: component.id,
      text: `${setting.oven}: ${setting.heat.kind === 'off' ? 'off' : `set ${heatWords(setting.heat)}${knobWords(state, setting.oven, setting.heat)}`}${goal}`,
      due,
      priority: 'low',
    },
  ];
}

/** Whether a setting is the switching off after a hot load. */
const turnsOffAfter = ({ step }: Placed, { heat }: OvenSetting): boolean =>
  heat.kind === 'off' && step.oven?.heat.kind !== 'off';

/** When a knob is to be turned; nothing while it is not, or not by a call of its own. */
function knobDue(
  state: BenchState,
  placed: Placed,
  setting: OvenSetting,
  course: Course,
  watch: Watch,
): EpochMs | undefined {
  const run = must(runsOf(state), placed.step.id);
  if (turnsOffAfter(placed, setting)) {
    const out = lastOut(state, setting);
    // Turned since for a later load, the knob is not to be turned off for an earlier one.
    const turned = ovenRun(state, setting.oven)?.setAt ?? out;
    return out === undefined || turned === undefined || turned >= out ? undefined : out;
  }
  // Turned since for something else, it is put right for what is in there, where the timetable says so.
  if (run.state === 'running') return setting.at > run.startedAt ? setting.at : undefined;
  if (run.state !== 'waiting' || isTurnedAtStart(state, placed, setting)) return undefined;
  if (stillBefore(state, placed, setting.oven).length > 0) return undefined;
  if (wantsOtherHeat(state, placed, setting)) return undefined;
  const wanted = knobMoment(state, placed, setting, course.endOf);
  const due = promisedDue(state, { kind: 'turned', setting }, wanted, watch);
  return due === 'waits' ? undefined : due;
}

/** When the last of what is told to go into an oven before a setting came out; nothing while something is in it, or is still to go in. */
function lastOut(state: BenchState, { oven, step, at }: OvenSetting): EpochMs | undefined {
  const runs = runsOf(state);
  const ends = state.timetable.steps
    .filter((told) => told.oven === oven && (told.start < at || told.step === step))
    .map((told) => must(runs, told.step))
    .map((run) => ('endedAt' in run ? run.endedAt : undefined));
  return ends.reduce((last, end) => (last === undefined || end === undefined ? undefined : later(last, end)));
}

/** Whether something is in the oven that a turn of the knob would spoil, whatever the timetable says of it. */
function wantsOtherHeat(state: BenchState, { step }: Placed, { oven, heat }: OvenSetting): boolean {
  const { placed, ovens } = lookup(state.setup.workload);
  const { tolerance } = must(ovens, oven);
  return [...runsOf(state).values()].some((run) => {
    const other = must(placed, run.step).step;
    if (run.state !== 'running' || other.id === step.id || ovenOf(state, other) !== oven) return false;
    return (
      other.oven?.heat.kind !== heat.kind || Math.abs(heatOf(other.oven.heat) - heatOf(heat)) > tolerance
    );
  });
}

/** The call to turn round what is in an oven, once, while its step runs: an opening of the door that is allowed for. */
export function turnCall(
  state: BenchState,
  { step, component, name }: Placed,
  running: Extract<StepRun, { state: 'running' }>,
  run: ComponentRun,
  watch: Watch,
): WantedCall[] {
  const oven = ovenOf(state, step);
  if (step.turn === undefined || oven === undefined) return [];
  if (ovenRun(state, oven)?.turned.includes(step.id)) return [];
  const due = plus(running.startedAt, step.turn);
  if (!watch.reached(plus(due, -TURN_BEFORE_S))) return [];
  return [
    {
      key: `turn ${step.id}#${run.attempt}`,
      asks: { kind: 'turn', oven, step: step.id },
      component: component.id,
      text: `${name}: turn it round in the ${oven}, and shut the door`,
      due,
      priority: 'medium',
    },
  ];
}

/** A turn of a knob that no timetable tells, and those of the timetable that would do for it. */
interface Untold {
  readonly setting: OvenSetting;
  readonly unless: readonly OvenSetting[];
}

/**
 * Turns of a knob that no timetable tells, since by it the oven stands right already: for loads that wait for it hot, each as
 * for the moment at which it is to go in. Things may have come in another order, and left the oven at something else, or off.
 */
export function settingsMissing(state: BenchState): readonly OvenSetting[] {
  const runs = runsOf(state);
  const waits = ({ step }: OvenSetting): boolean => must(runs, step).state === 'waiting';
  return untoldIn(state).flatMap(({ setting, unless }) =>
    waits(setting) && !unless.some(waits) ? [setting] : [],
  );
}

const untold = new WeakMap<Timetable, readonly Untold[]>();

function untoldIn({ setup, timetable }: Pick<BenchState, 'setup' | 'timetable'>): readonly Untold[] {
  const known = untold.get(timetable);
  if (known) return known;
  const { placed: all, ovens } = lookup(setup.workload);
  const { steps, settings } = planned(timetable);
  const made = timetable.steps.flatMap(({ step, oven, start }): Untold[] => {
    const placed = must(all, step);
    const heat = placed.step.oven?.heat;
    if (oven === undefined || heat?.kind !== 'at' || followsInOven(placed)) return [];
    if (settings.get(step)?.some((setting) => setting.heat.kind === 'at')) return [];
    const unless = timetable.settings.filter(
      (other) =>
        other.oven === oven &&
        must(steps, other.step).start <= start &&
        isWithin(other.heat, heat, must(ovens, oven).tolerance),
    );
    return [{ setting: { oven, step, heat, at: start, hotBy: start }, unless }];
  });
  untold.set(timetable, made);
  return made;
}

/** Whether a knob is turned by the very call that starts its step, or stands well enough for that. */
function isTurnedAtStart(
  state: Pick<BenchState, 'setup' | 'ovens'>,
  placed: Placed,
  { oven, heat, at, hotBy }: OvenSetting,
): boolean {
  if (at !== hotBy) return false;
  if (heat.kind === 'off' || followsInOven(placed)) return true;
  const { workload } = state.setup;
  const { tolerance } = must(lookup(workload).ovens, oven);
  const run = ovenRun(state, oven);
  if (run?.heat.kind === 'off') return Math.abs(workload.kitchen.ambient - heatOf(heat)) <= tolerance;
  return run !== undefined && isWithin(run.heat, heat, tolerance);
}

const isWithin = (a: OvenHeat, b: OvenHeat, tolerance: number): boolean =>
  a.kind === 'at' && b.kind === 'at' && Math.abs(a.temperature.celsius - b.temperature.celsius) <= tolerance;

/** Where an oven is known to stand off its knob: ` (knob at 188 C)`, what the knob is turned to for it to come to `heat`. */
export function knobWords(state: Pick<BenchState, 'setup'>, oven: string, heat: OvenHeat): string {
  const { workload } = state.setup;
  const model = ovenModel(must(lookup(workload).ovens, oven), workload.kitchen.ambient);
  if (heat.kind === 'off' || Math.abs(model.offset) < 1) return '';
  const { scale } = heat.temperature;
  const turned = knobFor(model, heat.temperature.celsius);
  const figure = Math.round(scale === 'C' ? turned : (turned * 9) / 5 + 32);
  return ` (knob at ${formatTemperature(temperatureOf(figure, scale))})`;
}

/** A heat in words: `to 180 C`. */
export const heatWords = (heat: OvenHeat): string =>
  heat.kind === 'off' ? 'off' : `to ${formatTemperature(heat.temperature)}`;

/** How hot an oven is to be, C; 0 where it is to be off. */
export const heatOf = (heat: OvenHeat): number => (heat.kind === 'at' ? heat.temperature.celsius : 0);
