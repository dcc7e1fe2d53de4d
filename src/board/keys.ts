import { answer, describe, undoable, type Call } from '../bench/index.ts';
import type { Step, StepId } from '../plan/index.ts';
import { minutes, plus, type EpochMs } from '../units/index.ts';
import { callText, clean, lookupIn, pressWord, sounding, topmost, topmostCall } from '../view/index.ts';
import { answerAside, answerQuiet, chooseRow, quiet, setAside } from './alarm-keys.ts';
import {
  doorAfter,
  ovenNames,
  probesNear,
  probesOf,
  probeScale,
  runningIn,
  standsOpen,
  stepCalled,
} from './choices.ts';
import { answerGuests, answerWhose, guests } from './guests-keys.ts';
import { answerOffer, newTimetable } from './offer-keys.ts';
import { ask, only, refuse, send, type Key, type Pressed, type Pressing } from './pressed.ts';
import { answerMishap, rehearsalKey } from './rehearsal-keys.ts';
import { answerSince, answerSpoilt, stagePress } from './stage-keys.ts';
import { startTimer, typeLength, typeReading } from './typing.ts';
import { noted, TAKE_BACK, unprompted, type Prompt, type Ui } from './ui.ts';

/** Repeats of a key within this are one press, in ms: a knuckle bounces, a held key repeats. */
const BOUNCE = 250;
/** A call that is not due is answered only once it has stood so long, in ms: a press meant for what stood there before is none. */
const STANDING = 600;
/** Nobody has seen a call and pressed sooner than this, in ms: the press was for what stood there before. */
const HASTE = 200;

/** What a key does. Pure: the same board, run and moment give the same answer. */
export function press(ui: Ui, key: Key, pressing: Pressing): Pressed {
  const bounced = ui.last?.key === key && pressing.at - ui.last.at < BOUNCE;
  const seen: Ui = { ...ui, last: { key, at: pressing.at } };
  // Figures are typed in sight and count only with Enter, so two quick equal ones are two.
  const { prompt } = ui;
  const typing =
    prompt?.kind === 'reading' ||
    prompt?.kind === 'timer length' ||
    (prompt?.kind === 'guests' && prompt.typed !== undefined);
  if (bounced && !(typing && /^[0-9]$/.test(key))) return { ui: seen, acts: [] };
  const { note: _, ...quiet } = seen;
  if (quiet.absence) {
    const { absence: __, ...back } = quiet;
    return key === 'q' || key === 'ctrl-c' ? firstPress(back, key, pressing) : { ui: back, acts: [] };
  }
  if (quiet.prompt) return secondPress(quiet, quiet.prompt, key, pressing);
  return firstPress(quiet, key, pressing);
}

/** Pages, by the key that turns to them and back. */
const PAGES: Readonly<Record<string, Ui['page']>> = {
  a: 'alarms',
  p: 'temperatures',
  l: 'log',
  v: 'far',
  '?': 'help',
};

function firstPress(ui: Ui, key: Key, pressing: Pressing): Pressed {
  const led = pressing.mishaps ? rehearsalKey(ui, key, pressing.mishaps, pressing) : undefined;
  if (led) return led;
  if (/^[1-9]$/.test(key)) return figure(ui, Number(key) - 1, pressing);
  const staged = stagePress(ui, key, pressing);
  if (staged) return staged;
  const page = PAGES[key];
  if (page !== undefined) return only({ ...ui, page: ui.page === page ? 'board' : page });
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
      return earlier(ui, pressing);
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
    case 'n':
      return newTimetable(ui, pressing);
    case 'i':
      return guests(ui, pressing);
    case 'h':
      return hush(ui, pressing);
    case 'w':
      return setAside(ui, pressing);
    case 'z':
      return quiet(ui, pressing);
    case 'q':
    case 'ctrl-c':
      return ask(ui, { kind: pressing.mishaps ? 'quit rehearsal' : 'quit' }, pressing);
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
        return only(noted(ui, `press again: ${callText(top.call)}`, at));
      return answerCall(ui, top.call, now);
    case 'call':
      if (ui.sent.includes(top.call.key)) return only(ui);
      if (at - pressing.shownSince < HASTE) return only(noted(ui, `press again: ${callText(top.call)}`, at));
      return answerCall(ui, top.call, now);
    case 'nothing':
      return only(noted(ui, 'nothing is waiting for an answer', at));
  }
}

const answerCall = (ui: Ui, call: Call, at: EpochMs, ago = ''): Pressed => {
  const said = `${pressWord(call)}${ago}: ${callText(call)}${TAKE_BACK}`;
  return send(ui, answer(call, at), said, call.key);
};

function takeBack(ui: Ui, pressing: Pressing): Pressed {
  const act = undoable(pressing.state);
  if (!act) return refuse(ui, 'there is nothing to take back', pressing);
  return send(ui, { kind: 'undo' }, `taken back: ${clean(describe(act, pressing.state.setup.workload))}`);
}

/** A figure chooses what the page has numbered: a row of alarms, a probe that was read, else a component. */
function figure(ui: Ui, index: number, pressing: Pressing): Pressed {
  if (ui.page === 'alarms') return chooseRow(ui, index, pressing);
  if (ui.page !== 'temperatures') return choose(ui, index, pressing);
  const probe = probesOf(pressing.state)[index];
  return probe === undefined
    ? refuse(ui, `there is no probe ${index + 1}`, pressing)
    : readingOf(ui, probe, pressing);
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
    `done: ${stepCalled(state, running.id)}${TAKE_BACK}`,
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
  return id === undefined
    ? refuse(ui, 'choose a component first: 1-9', pressing)
    : then(index, lookupIn(state.setup.workload).nameOf(id));
}

function reading(ui: Ui, pressing: Pressing): Pressed {
  const probes = probesNear(pressing.state, ui.selected);
  const [first] = probes;
  if (first === undefined) return refuse(ui, 'the plan has no probe', pressing);
  return probes.length > 1
    ? ask(ui, { kind: 'probe', probes: probes.slice(0, 9) }, pressing)
    : readingOf(ui, first, pressing);
}

function readingOf(ui: Ui, probe: string, pressing: Pressing): Pressed {
  const { state } = pressing;
  const others = probesOf(state).length > 1;
  return ask(ui, { kind: 'reading', probe, text: '', scale: probeScale(state, probe), others }, pressing);
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
      return count === undefined ? again(ui, prompt, pressing) : backDate(clear, prompt, count, pressing);
    case 'more':
      if (count === undefined) return again(ui, prompt, pressing);
      return send(
        clear,
        { kind: 'more', step: prompt.step, length: minutes(count) },
        `${count} min more: ${prompt.name}`,
      );
    case 'skip':
      if (key !== ' ') return again(ui, prompt, pressing);
      return send(clear, { kind: 'skip', step: prompt.step }, `left out: ${prompt.name}${TAKE_BACK}`);
    case 'lost':
      return key === ' ' ? lost(clear, prompt.component, prompt.name, pressing) : again(ui, prompt, pressing);
    case 'stage back':
      return answerSince(ui, prompt, key, pressing);
    case 'spoilt':
      return answerSpoilt(ui, prompt, key, pressing);
    case 'timer':
      if (key === 't') return ask(ui, { kind: 'timer length', text: '' }, pressing);
      return count === undefined ? again(ui, prompt, pressing) : startTimer(clear, count, pressing);
    case 'timer length':
      return typeLength(ui, prompt, key, pressing);
    case 'probe': {
      const probe = digit === undefined ? undefined : prompt.probes[digit - 1];
      return probe === undefined ? again(ui, prompt, pressing) : readingOf(ui, probe, pressing);
    }
    case 'reading':
      return typeReading(ui, prompt, key, pressing);
    case 'door': {
      const oven = digit === undefined ? undefined : prompt.ovens[digit - 1];
      return oven === undefined ? again(ui, prompt, pressing) : turnDoor(clear, oven, pressing);
    }
    case 'offer':
      return answerOffer(ui, prompt, key, pressing);
    case 'aside':
      return answerAside(ui, prompt, key, pressing);
    case 'quiet':
      return answerQuiet(ui, prompt, key, pressing);
    case 'whose guests':
      return answerWhose(ui, prompt, key, pressing);
    case 'guests':
      return answerGuests(ui, prompt, key, pressing);
    case 'mishap':
      return answerMishap(ui, prompt, key, pressing);
    case 'quit rehearsal': {
      const yes = key === 'enter' || key === 'ctrl-c' || key === 'e';
      return yes ? { ui: clear, acts: [{ kind: 'leave' }] } : again(ui, prompt, pressing);
    }
    case 'quit':
      if (key === 'enter' || key === 'ctrl-c') return { ui: clear, acts: [{ kind: 'leave' }] };
      return key === 'e' ? { ui: clear, acts: [{ kind: 'end run' }] } : again(ui, prompt, pressing);
  }
}

/** A key the prompt does not know changes nothing; what it waits for stays in sight. */
const again = (ui: Ui, prompt: Prompt, pressing: Pressing): Pressed => ask(ui, prompt, pressing);

/** What is to be dated back: the chosen component's call, or the end of its running step; without a choice the topmost call. */
function earlier(ui: Ui, pressing: Pressing): Pressed {
  const { state, now } = pressing;
  const call = ui.selected === undefined ? topmostCall(state, now) : standsOpen(state, ui.selected);
  if (call) {
    const name = `${callText(call)}: ${pressWord(call)}`;
    return ask(ui, { kind: 'back', name, about: { call: call.key } }, pressing);
  }
  const step = ui.selected === undefined ? undefined : runningIn(state, ui.selected);
  return step
    ? ask(
        ui,
        { kind: 'back', name: `${stepCalled(state, step.id)}: done`, about: { step: step.id } },
        pressing,
      )
    : refuse(ui, 'nothing is waiting for an answer', pressing);
}

/** Dates back what was asked about, whatever else has become due meanwhile. */
function backDate(
  ui: Ui,
  { about }: Extract<Prompt, { kind: 'back' }>,
  count: number,
  pressing: Pressing,
): Pressed {
  const at = plus(pressing.now, -60 * count);
  const ago = ` ${count} min ago`;
  if ('step' in about) {
    const said = `done${ago}: ${stepCalled(pressing.state, about.step)}${TAKE_BACK}`;
    return send(ui, { kind: 'done', step: about.step, at }, said);
  }
  const call = pressing.state.calls.find((each) => each.key === about.call);
  return call ? answerCall(ui, call, at, ago) : refuse(ui, 'that has been answered meanwhile', pressing);
}

function lost(ui: Ui, index: number, name: string, pressing: Pressing): Pressed {
  const run = pressing.state.components[index];
  if (!run) return refuse(ui, 'that component is not there any more', pressing);
  return send(ui, { kind: 'lost', component: run.component }, `${name}: to be made again${TAKE_BACK}`);
}
