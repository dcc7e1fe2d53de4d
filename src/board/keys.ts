import { answer, describe, undoable, type BenchState, type Call, type Happening } from '../bench/index.ts';
import type { Step, StepId } from '../plan/index.ts';
import { minutes, plus, temperatureOf, type EpochMs } from '../units/index.ts';
import { clean, pressWord, sounding, topmost, topmostCall } from '../view/index.ts';
import { doorAfter, ovenNames, probesOf, probeScale, runningIn, standsOpen, stepCalled } from './choices.ts';
import { noted, unprompted, type Prompt, type Ui } from './ui.ts';

/** A key as the board knows it: a sign (letters small), or one of these words. */
export type Key = string;

/** What a key sets off outside the board's own state. */
export type Act =
  /** An act of the cook for the keeper; `said` is what the board says once it is taken. `key` names what it answers. */
  | { readonly kind: 'send'; readonly happening: Happening; readonly said: string; readonly key?: string }
  | { readonly kind: 'redraw' }
  /** Close the board, leave the run going. */
  | { readonly kind: 'leave' }
  /** End the run's keeper. */
  | { readonly kind: 'end run' };

export interface Pressing {
  readonly state: BenchState;
  /** The keeper's clock. */
  readonly now: EpochMs;
  /** The board's steady clock, ms. */
  readonly at: number;
  /** Since when, on the steady clock, the topmost thing stands on the screen. */
  readonly shownSince: number;
}

export interface Pressed {
  readonly ui: Ui;
  readonly acts: readonly Act[];
}

/** Repeats of a key within this are one press, in ms: a knuckle bounces, a held key repeats. */
const BOUNCE = 250;
/** A call that is not due is answered only once it has stood so long, in ms: a press meant for what stood there before is none. */
const STANDING = 600;

/** What a key does. Pure: the same board, run and moment give the same answer. */
export function press(ui: Ui, key: Key, pressing: Pressing): Pressed {
  const bounced = ui.last?.key === key && pressing.at - ui.last.at < BOUNCE;
  const seen: Ui = { ...ui, last: { key, at: pressing.at } };
  // Figures are typed in sight and count only with Enter, so two quick equal ones are two.
  const typing = ui.prompt?.kind === 'reading' || ui.prompt?.kind === 'timer length';
  if (bounced && !(typing && /^[0-9]$/.test(key))) return { ui: seen, acts: [] };
  const { note: _, ...quiet } = seen;
  if (quiet.absence) {
    const { absence: __, ...back } = quiet;
    return key === 'q' || key === 'ctrl-c' ? firstPress(back, key, pressing) : { ui: back, acts: [] };
  }
  if (quiet.prompt) return secondPress(quiet, quiet.prompt, key, pressing);
  return firstPress(quiet, key, pressing);
}

const only = (ui: Ui): Pressed => ({ ui, acts: [] });
const send = (ui: Ui, happening: Happening, said: string, key?: string): Pressed => ({
  ui: key === undefined ? ui : { ...ui, sent: [...ui.sent, key] },
  acts: [{ kind: 'send', happening, said, ...(key === undefined ? {} : { key }) }],
});
const refuse = (ui: Ui, why: string, { at }: Pressing): Pressed => only(noted(ui, why, at, true));
const ask = (ui: Ui, prompt: Prompt, { at }: Pressing): Pressed =>
  only({ ...ui, prompt: { ...prompt, askedAt: at } });
const turn = (ui: Ui, page: Ui['page']): Pressed => only({ ...ui, page: ui.page === page ? 'board' : page });

function firstPress(ui: Ui, key: Key, pressing: Pressing): Pressed {
  if (/^[1-9]$/.test(key)) return choose(ui, Number(key) - 1, pressing);
  switch (key) {
    case ' ':
      return ui.page === 'board' || ui.page === 'far' ? space(ui, pressing) : only({ ...ui, page: 'board' });
    case 'esc': {
      const { selected: _, ...rest } = ui;
      return only({ ...rest, page: 'board' });
    }
    case 'u':
      return takeBack(ui, pressing);
    case 'b':
      return topmostCall(pressing.state, pressing.now)
        ? ask(ui, { kind: 'back' }, pressing)
        : refuse(ui, 'nothing is waiting for an answer', pressing);
    case 'd':
      return done(ui, pressing);
    case 'm':
      return withRunning(ui, pressing, (step, name) =>
        ask(ui, { kind: 'more', step: step.id, name }, pressing),
      );
    case 's':
      return withStep(ui, pressing, (step, name) => ask(ui, { kind: 'skip', step: step.id, name }, pressing));
    case 'x':
      return withComponent(ui, pressing, (component, name) =>
        ask(ui, { kind: 'lost', component, name }, pressing),
      );
    case 't':
      return ask(ui, { kind: 'timer' }, pressing);
    case 'r':
      return reading(ui, pressing);
    case 'o':
      return door(ui, pressing);
    case 'k':
      return knob(ui, pressing);
    case 'h':
      return hush(ui, pressing);
    case 'a':
      return turn(ui, 'alarms');
    case 'l':
      return turn(ui, 'log');
    case 'v':
      return turn(ui, 'far');
    case '?':
      return turn(ui, 'help');
    case 'q':
    case 'ctrl-c':
      return ask(ui, { kind: 'quit' }, pressing);
    case '.':
      return { ui, acts: [{ kind: 'redraw' }] };
    default:
      return only(
        noted(
          ui,
          `${/^\S$/u.test(key) ? `"${key}"` : 'that key'} does nothing here; ? shows all keys`,
          pressing.at,
        ),
      );
  }
}

/** The one key: says "heard" to a high alarm nobody has heard, else answers the topmost call. */
function space(ui: Ui, pressing: Pressing): Pressed {
  const { state, now, at } = pressing;
  const top = topmost(state, now);
  switch (top.kind) {
    case 'alarm':
      if (ui.sent.includes(top.alarm.key)) return only(ui);
      return send(
        ui,
        { kind: 'heard', key: top.alarm.key },
        `heard: ${clean(top.alarm.kind)}`,
        top.alarm.key,
      );
    case 'open':
      if (ui.sent.includes(top.call.key)) return only(ui);
      if (at - pressing.shownSince < STANDING)
        return only(noted(ui, `press again: ${clean(top.call.text)}`, at));
      return answerCall(ui, top.call, now);
    case 'call':
      return ui.sent.includes(top.call.key) ? only(ui) : answerCall(ui, top.call, now);
    case 'nothing':
      return only(noted(ui, 'nothing is waiting for an answer', at));
  }
}

const answerCall = (ui: Ui, call: Call, at: EpochMs, ago = ''): Pressed =>
  send(ui, answer(call, at), `${pressWord(call)}${ago}: ${clean(call.text)}   u takes it back`, call.key);

function takeBack(ui: Ui, pressing: Pressing): Pressed {
  const act = undoable(pressing.state);
  if (!act) return refuse(ui, 'there is nothing to take back', pressing);
  return send(ui, { kind: 'undo' }, `taken back: ${clean(describe(act, pressing.state.setup.workload))}`);
}

function choose(ui: Ui, index: number, pressing: Pressing): Pressed {
  const run = pressing.state.components[index];
  if (!run) return refuse(ui, `there is no component ${index + 1}`, pressing);
  return only({ ...ui, page: 'board', selected: index });
}

function done(ui: Ui, pressing: Pressing): Pressed {
  const { state, now } = pressing;
  const call = standsOpen(state, ui.selected);
  const running = runningIn(state, ui.selected);
  // A step that runs is ended by its own call, so that what is asked and what is answered are one thing.
  if (call && (!running || (call.asks.kind === 'done' && call.asks.step === running.id)))
    return answerCall(ui, call, now);
  if (!running) return refuse(ui, 'nothing runs here', pressing);
  return send(
    ui,
    { kind: 'done', step: running.id, at: now },
    `done: ${stepCalled(state, running.id)}   u takes it back`,
  );
}

function withRunning(ui: Ui, pressing: Pressing, then: (step: Step, name: string) => Pressed): Pressed {
  const step = runningIn(pressing.state, ui.selected);
  return step ? then(step, stepCalled(pressing.state, step.id)) : refuse(ui, 'nothing runs here', pressing);
}

/** The chosen component's running step, or the one that comes next; without a choice the topmost running one. */
function withStep(ui: Ui, pressing: Pressing, then: (step: Step, name: string) => Pressed): Pressed {
  const { state } = pressing;
  const waiting =
    ui.selected === undefined
      ? undefined
      : state.components[ui.selected]?.steps.find((run) => run.state === 'waiting');
  const running = runningIn(state, ui.selected);
  const id: StepId | undefined = running?.id ?? waiting?.step;
  const step = state.setup.workload.components.flatMap((each) => each.steps).find((each) => each.id === id);
  return step
    ? then(step, stepCalled(state, step.id))
    : refuse(ui, 'choose a component first: 1-9', pressing);
}

function withComponent(
  ui: Ui,
  pressing: Pressing,
  then: (component: number, name: string) => Pressed,
): Pressed {
  const { state } = pressing;
  const running = runningIn(state, undefined);
  const index = ui.selected ?? state.components.findIndex((run) => run.component === running?.component);
  const id = state.components[index]?.component;
  const name = state.setup.workload.components.find((each) => each.id === id)?.name;
  return name === undefined
    ? refuse(ui, 'choose a component first: 1-9', pressing)
    : then(index, clean(name));
}

function reading(ui: Ui, pressing: Pressing): Pressed {
  const probes = probesOf(pressing.state);
  const [first] = probes;
  if (first === undefined) return refuse(ui, 'the plan has no probe', pressing);
  if (probes.length > 1) return ask(ui, { kind: 'probe', probes: probes.slice(0, 9) }, pressing);
  return ask(
    ui,
    { kind: 'reading', probe: first, text: '', scale: probeScale(pressing.state, first) },
    pressing,
  );
}

function door(ui: Ui, pressing: Pressing): Pressed {
  const ovens = ovenNames(pressing.state);
  const [first] = ovens;
  if (first === undefined) return refuse(ui, 'there is no oven', pressing);
  return ovens.length > 1
    ? ask(ui, { kind: 'door', ovens: ovens.slice(0, 9) }, pressing)
    : turnDoor(ui, first, pressing);
}

function turnDoor(ui: Ui, oven: string, { state }: Pressing): Pressed {
  const to = doorAfter(state, oven);
  return send(ui, { kind: 'door', oven, door: to }, `${clean(oven)}: door ${to}`);
}

function knob(ui: Ui, pressing: Pressing): Pressed {
  const call = pressing.state.calls.find((each) => each.asks.kind === 'oven set');
  return call ? answerCall(ui, call, pressing.now) : refuse(ui, 'no oven is waiting to be set', pressing);
}

function hush(ui: Ui, { state, now, at }: Pressing): Pressed {
  const loud = sounding(state, now);
  if (loud.length === 0) return only(noted(ui, 'nothing is sounding', at));
  return {
    ui,
    acts: loud.map(({ key }, index) => ({
      kind: 'send',
      happening: { kind: 'heard', key },
      said: index === 0 ? 'heard; what is to be done still stands' : '',
    })),
  };
}

function secondPress(ui: Ui, prompt: Prompt, key: Key, pressing: Pressing): Pressed {
  const clear = unprompted(ui);
  if (key === 'esc') return only(clear);
  const digit = /^[0-9]$/.test(key) ? Number(key) : undefined;
  const count = digit === 0 ? 10 : digit;
  switch (prompt.kind) {
    case 'back':
      return count === undefined ? again(ui, prompt, pressing) : backDate(clear, count, pressing);
    case 'more':
      if (count === undefined) return again(ui, prompt, pressing);
      return send(
        clear,
        { kind: 'more', step: prompt.step, length: minutes(count) },
        `${count} min more: ${prompt.name}`,
      );
    case 'skip':
      if (key !== ' ') return again(ui, prompt, pressing);
      return send(clear, { kind: 'skip', step: prompt.step }, `left out: ${prompt.name}   u takes it back`);
    case 'lost':
      return key === ' ' ? lost(clear, prompt.component, prompt.name, pressing) : again(ui, prompt, pressing);
    case 'timer':
      if (key === 't') return ask(ui, { kind: 'timer length', text: '' }, pressing);
      return count === undefined ? again(ui, prompt, pressing) : startTimer(clear, count, pressing);
    case 'timer length':
      return typeLength(ui, prompt, key, pressing);
    case 'probe': {
      const probe = digit === undefined ? undefined : prompt.probes[digit - 1];
      if (probe === undefined) return again(ui, prompt, pressing);
      return ask(
        ui,
        { kind: 'reading', probe, text: '', scale: probeScale(pressing.state, probe) },
        pressing,
      );
    }
    case 'reading':
      return typeReading(ui, prompt, key, pressing);
    case 'door': {
      const oven = digit === undefined ? undefined : prompt.ovens[digit - 1];
      return oven === undefined ? again(ui, prompt, pressing) : turnDoor(clear, oven, pressing);
    }
    case 'quit':
      if (key === 'enter' || key === 'ctrl-c') return { ui: clear, acts: [{ kind: 'leave' }] };
      return key === 'e' ? { ui: clear, acts: [{ kind: 'end run' }] } : again(ui, prompt, pressing);
  }
}

/** A key the prompt does not know changes nothing; what it waits for stays in sight. */
const again = (ui: Ui, prompt: Prompt, pressing: Pressing): Pressed => ask(ui, prompt, pressing);

function backDate(ui: Ui, count: number, pressing: Pressing): Pressed {
  const call = topmostCall(pressing.state, pressing.now);
  if (!call) return refuse(ui, 'nothing is waiting for an answer', pressing);
  return answerCall(ui, call, plus(pressing.now, -60 * count), ` ${count} min ago`);
}

function lost(ui: Ui, index: number, name: string, pressing: Pressing): Pressed {
  const run = pressing.state.components[index];
  if (!run) return refuse(ui, 'that component is not there any more', pressing);
  return send(ui, { kind: 'lost', component: run.component }, `${name}: to be made again   u takes it back`);
}

function startTimer(ui: Ui, length: number, { state }: Pressing): Pressed {
  const taken = new Set(state.timers.map((timer) => timer.name));
  const number = Array.from({ length: taken.size + 1 }, (_, index) => index + 1).find(
    (each) => !taken.has(`timer ${each}`),
  );
  const name = `timer ${number ?? 1}`;
  return send(ui, { kind: 'timer', name, length: minutes(length) }, `${name}: ${length} min`);
}

/** Figures of a text typed so far with one more key; nothing where the key is none of them. */
function typed(text: string, key: Key, signs: RegExp): string | undefined {
  if (key === 'backspace') return text.slice(0, -1);
  return signs.test(key) && text.length < 6 ? text + key : undefined;
}

/** The longest quick timer, in minutes: a day. */
const LONGEST_TIMER = 1440;

function typeLength(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'timer length' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  if (key === 'enter') {
    const length = Number(prompt.text);
    if (prompt.text === '' || !Number.isFinite(length) || length <= 0 || length > LONGEST_TIMER)
      return refuse(unprompted(ui), 'a timer is 0.1 to 1440 minutes', pressing);
    return startTimer(unprompted(ui), length, pressing);
  }
  return ask(ui, { ...prompt, text: typed(prompt.text, key, /^[0-9.]$/) ?? prompt.text }, pressing);
}

function typeReading(
  ui: Ui,
  prompt: Extract<Prompt, { kind: 'reading' }>,
  key: Key,
  pressing: Pressing,
): Pressed {
  if (key === 'f' || key === 'c') return ask(ui, { ...prompt, scale: key === 'f' ? 'F' : 'C' }, pressing);
  if (key !== 'enter')
    return ask(ui, { ...prompt, text: typed(prompt.text, key, /^[0-9.-]$/) ?? prompt.text }, pressing);
  const figure = /^-?\d{1,4}(\.\d{1,2})?$/.test(prompt.text) ? Number(prompt.text) : undefined;
  const temperature = figure === undefined ? undefined : temperatureOf(figure, prompt.scale);
  if (!temperature || temperature.celsius < -80 || temperature.celsius > 600)
    return refuse(unprompted(ui), `"${prompt.text}" is no temperature of a kitchen`, pressing);
  return send(
    unprompted(ui),
    { kind: 'reading', probe: prompt.probe, temperature },
    `${clean(prompt.probe)}: ${prompt.text} ${prompt.scale}`,
  );
}
