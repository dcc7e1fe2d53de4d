import type { Alarm, AlarmKind, BenchState } from '../bench/index.ts';
import { minutes, roughly, seconds, secondsBetween } from '../units/index.ts';
import { alarmRows, clean } from '../view/index.ts';
import { asidesFor } from './asides.ts';
import { ask, refuse, send, type Key, type Pressed, type Pressing } from './pressed.ts';
import { TAKE_BACK, unprompted, type Prompt, type Ui } from './ui.ts';

/* Setting alarms aside, taking a kind of alarm out of service, and quiet: all from short lists, so that nothing is typed. */

/** An alarm that stands and whose cause is still there. */
const standing = (state: BenchState): readonly Alarm[] =>
  state.alarms.filter((alarm) => alarm.state !== 'returned');

/** The topmost standing alarm is to be set aside: asks for how long and why. */
export function setAside(ui: Ui, pressing: Pressing): Pressed {
  const [first] = standing(pressing.state);
  return first
    ? askAside(ui, first, pressing)
    : refuse(ui, 'no alarm stands that could be set aside', pressing);
}

const askAside = (ui: Ui, alarm: Alarm, pressing: Pressing): Pressed =>
  ask(
    ui,
    {
      kind: 'aside',
      key: alarm.key,
      alarm: alarm.kind,
      priority: alarm.priority,
      name: clean(alarm.kind),
    },
    pressing,
  );

/** A row of the alarms page by its number: a standing alarm is to be set aside, what was set aside comes back. */
export function chooseRow(ui: Ui, index: number, pressing: Pressing): Pressed {
  const row = alarmRows(pressing.state)[index];
  switch (row?.kind) {
    case undefined:
      return refuse(ui, `there is no row ${index + 1}`, pressing);
    case 'standing':
      return askAside(ui, row.alarm, pressing);
    case 'shelved':
      return send(ui, { kind: 'unshelved', key: row.shelved.key }, `back: ${clean(row.shelved.kind)}`);
    case 'out of service':
      return send(ui, { kind: 'in service', alarm: row.out.kind }, `in service: ${clean(row.out.kind)}`);
  }
}

export function answerAside(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'aside' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  const way = asidesFor(prompt.priority).find((each) => each.key === key);
  if (!way) return ask(ui, prompt, pressing);
  const clear = unprompted(ui);
  if (way.minutes === undefined) return takeOut(clear, prompt.alarm, way.reason);
  const length = minutes(way.minutes);
  const said = `set aside for ${roughly(length)}: ${prompt.name}${TAKE_BACK}`;
  return send(clear, { kind: 'shelved', key: prompt.key, length, reason: way.reason }, said);
}

const takeOut = (ui: Ui, alarm: AlarmKind, reason: string): Pressed =>
  send(
    ui,
    { kind: 'out of service', alarm, reason },
    `out of service in this run: ${clean(alarm)}${TAKE_BACK}`,
  );

/** Minutes of quiet by the figure that chooses them. */
const QUIETS: Readonly<Record<string, number>> = { '1': 10, '3': 30, '6': 60, '0': 0 };
const TESTS = { h: 'high', m: 'medium', l: 'low' } as const;

/** Asks for how long nothing shall sound, or which sound to try. */
export function quiet(ui: Ui, pressing: Pressing): Pressed {
  const { quietUntil } = pressing.state;
  const left = quietUntil === undefined ? 0 : secondsBetween(pressing.now, quietUntil);
  return ask(ui, { kind: 'quiet', left: left > 0 ? roughly(seconds(Math.max(1, left))) : '' }, pressing);
}

export function answerQuiet(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'quiet' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  const count = QUIETS[key];
  if (count !== undefined) {
    const said = count === 0 ? 'it sounds again' : `quiet for ${count} min; the board goes on showing all`;
    return send(unprompted(ui), { kind: 'quiet', length: minutes(count) }, said);
  }
  const priority = key === 'h' || key === 'm' || key === 'l' ? TESTS[key] : undefined;
  if (priority === undefined) return ask(ui, prompt, pressing);
  // The question stays, so that one can be heard after the other.
  const sent = send(ui, { kind: 'sound test', priority }, `that is how ${priority} sounds`);
  return { ui: ask(sent.ui, prompt, pressing).ui, acts: sent.acts };
}
