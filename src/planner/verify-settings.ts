import { ovenModel, secondsTo, temperatureAfter, type OvenModel } from '../heat/index.ts';
import type { Oven } from '../plan/index.ts';
import type { OvenSetting } from './timetable.ts';
import type { Checked, VerifiedRule, Violation } from './verify.ts';
import { loadsIn, notHotter, type Load } from './verify-ovens.ts';

/** What an oven is reckoned to be at one moment. The true temperature lies between `coldest` and `hottest`. */
interface Reckoned {
  readonly knob: number | undefined;
  readonly coldest: number;
  readonly hottest: number;
  /** When the last rise beyond the tolerance has been soaked. */
  readonly soakedAt: number;
}

/** Follows each oven from setting to setting and looks whether every load finds it right and keeps it right. */
export function settings(checked: Checked): Violation[] {
  return [
    ...checked.timetable.settings.flatMap((setting) => sound(checked, setting)),
    ...checked.workload.kitchen.ovens.flatMap((oven) => ofOven(checked, oven)),
  ];
}

const wrong = (
  rule: VerifiedRule,
  load: { readonly step: { readonly id: Load['step']['id'] } },
  message: string,
): Violation => ({
  rule,
  steps: [load.step.id],
  message,
});

function sound(checked: Checked, setting: OvenSetting): Violation[] {
  const entry = checked.entryOf(setting.step);
  // What was to be set before now shows in how the oven stands.
  const now = checked.options.progress ? undefined : checked.now;
  if (!entry)
    return [
      {
        rule: 'settings',
        steps: [setting.step],
        message: `a setting is for ${setting.step}, which is no step`,
      },
    ];
  const found: Violation[] = [];
  if (!checked.workload.kitchen.ovens.some((oven) => oven.name === setting.oven))
    found.push(wrong('settings', entry, `a setting is for "${setting.oven}", which is no oven`));
  if (entry.oven !== setting.oven)
    found.push(wrong('settings', entry, `a setting of ${setting.oven} is for a step elsewhere`));
  if (setting.at > setting.hotBy)
    found.push(wrong('settings', entry, 'a setting is late for its own purpose'));
  if (setting.hotBy !== entry.start && setting.hotBy !== entry.end)
    found.push(wrong('settings', entry, `a setting is not for the start or end of ${setting.step}`));
  if (now !== undefined && setting.at < now)
    found.push(wrong('now', entry, `${setting.oven} would have had to be set before now`));
  return found;
}

function ofOven(checked: Checked, oven: Oven): Violation[] {
  const turns = checked.timetable.settings.filter((setting) => setting.oven === oven.name);
  const found: Violation[] = [];
  const all = loadsIn(checked, oven);
  for (const load of all) {
    const state = reckon(checked, oven, turns, load.start);
    if (!suits(oven, load, state.knob))
      found.push(wrong('settings', load, `${oven.name} is not set for ${load.step.id} when it starts`));
    else if (load.celsius !== undefined && !notHotter(checked, oven, load))
      found.push(...arrived(checked, oven, load, load.celsius, state));
    for (const turn of turns)
      if (turn.at > load.start && turn.at < load.end && !suits(oven, load, degrees(turn)))
        found.push(wrong('settings', load, `${oven.name} is set to something else during ${load.step.id}`));
  }
  const last = all.at(-1);
  const final = turns.at(-1);
  if (last && final?.heat.kind === 'at')
    found.push(wrong('settings', last, `${oven.name} is left on after the last load`));
  return found;
}

const degrees = (setting: OvenSetting): number | undefined =>
  setting.heat.kind === 'at' ? setting.heat.temperature.celsius : undefined;

function suits(oven: Oven, load: Load, knob: number | undefined): boolean {
  if (load.celsius === undefined || knob === undefined) return load.celsius === knob;
  return Math.abs(load.celsius - knob) <= oven.tolerance;
}

function arrived(checked: Checked, oven: Oven, load: Load, celsius: number, state: Reckoned): Violation[] {
  const slack = oven.tolerance + 1e-6;
  // What is wanted no warmer than the room is there when the oven is as cold as that, to a degree.
  const coolEnough = Math.max(celsius, checked.workload.kitchen.ambient + 1);
  if (state.coldest < celsius - slack || load.start < state.soakedAt)
    return [wrong('settings', load, `${oven.name} is not hot in time for ${load.step.id}`)];
  if (state.hottest > coolEnough + slack)
    return [wrong('settings', load, `${oven.name} has not cooled in time for ${load.step.id}`)];
  return [];
}

/** The oven's state at a moment: as it stands now, or cold and off, and then from setting to setting as its model has it. */
function reckon(checked: Checked, oven: Oven, turns: readonly OvenSetting[], moment: number): Reckoned {
  const { ambient } = checked.workload.kitchen;
  const model = ovenModel(oven, ambient);
  const { progress } = checked.options;
  const standing = progress?.ovens.find((other) => other.oven === oven.name);
  const celsius = standing?.celsius ?? ambient;
  let state: Reckoned = {
    knob: standing?.knob,
    coldest: celsius,
    hottest: celsius,
    soakedAt: standing?.knob === undefined ? -Infinity : Math.floor(standing.readyAt / 1000) * 1000,
  };
  let since: number = progress?.now ?? -Infinity;
  for (const turn of turns) {
    if (turn.at > moment) break;
    // What was set before now shows in how the oven stands.
    if (progress && turn.at < progress.now) continue;
    state = drift(model, state, since, turn.at);
    since = turn.at;
    const goal = degrees(turn);
    const soonest = goal === undefined ? -Infinity : goal - oven.tolerance;
    state = {
      ...state,
      knob: goal,
      // Rounded down: a setting is never held to be late for less than a second.
      soakedAt:
        soonest > state.coldest
          ? Math.floor(turn.at / 1000 + secondsTo(model, state.coldest, soonest) + oven.soak) * 1000
          : state.soakedAt,
    };
  }
  return drift(model, state, since, moment);
}

function drift(model: OvenModel, state: Reckoned, from: number, to: number): Reckoned {
  if (from === -Infinity || to <= from) return state;
  const after = (celsius: number): number =>
    temperatureAfter(model, { from: celsius, goal: state.knob, door: 'shut' }, (to - from) / 1000);
  // Off, nobody knows how its door stands: as cold as the room at the worst.
  const coldest = state.knob === undefined ? model.ambient : after(state.coldest);
  return { ...state, coldest, hottest: after(state.hottest) };
}
