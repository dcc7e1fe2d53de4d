import { answer, type BenchState, type Call } from '../bench/index.ts';
import type { ComponentId, Step } from '../plan/index.ts';
import { minutes, parseTemperature, plus, type EpochMs } from '../units/index.ts';
import { callText, clean, lookupIn, sounding, topmost, topmostCall } from '../view/index.ts';
import { putBack, quiet, shelve, soundTest, takeOut, unshelve } from './alarm-words.ts';
import { say, send, type Asked } from './asked.ts';
import type { Pressed } from './pressed.ts';
import { isStageWord, nextAgo, spoiltWord, stageWord, type StageWord } from './stage-keys.ts';
import { guestsWord } from './guests-words.ts';
import { TAKE_BACK } from './ui.ts';
import { doorAfter, ovenNames, probesOf, runningIn, standsOpen, stepCalled } from './choices.ts';

export const WORDS_HELP: readonly string[] = [
  'done, ok        answer the topmost call (ok also hears an alarm); done cream: that component',
  'back 4          answer it as of 4 minutes ago; back 4 cream: that component',
  'more 3          the running step needs 3 more minutes; more 3 cream',
  'undo            take the last answer back',
  'timer 5 tea     a timer of 5 minutes',
  'reading cream 12.5 C',
  'set             the oven is set as asked',
  'door open       also: door shut, door ajar, door open oven2',
  'turned          what is in the oven was turned round; turned shells',
  'skip shells     leave its step out; lost shells: make it again',
  'new             ask for a new timetable; take, leave: answer the one that is offered; way 2: that one of several',
  'next            on stage: on to the next showing; cut, stretch: as it is offered; job: what is due off view is done',
  'next 20         the next showing has been going for 20 seconds',
  'spoilt B        that swap is spoilt: its backup is taken, or what needs it is left out',
  'guests 10       they come 10 minutes later: what that would mean; guests 10 earlier, guests 19:45, guests 10 all',
  '                then guests yes moves service; guests keep: and the timetable stays',
  'heard           silence everything that sounds',
  'shelve 30       set the topmost alarm aside for 30 minutes; shelve runs over 30 why; unshelve',
  'out runs over   that kind of alarm is out of service in this run; out runs over: why; in runs over',
  'quiet 10        nothing sounds for 10 minutes; quiet off; sound high: how that sounds',
  'status          how it stands; help: these words',
  'quit            stop following, the run goes on; stop: end the run',
];

/** Reads one line of words. Never throws; what cannot be understood comes back as words that say so. */
export function wordsAsk(line: string, state: BenchState, now: EpochMs): Asked {
  const [verb = '', ...rest] = clean(line).toLowerCase().split(' ');
  const about = rest.join(' ');
  switch (verb) {
    case '':
      return { kind: 'nothing' };
    case 'done':
      return about === '' ? topAnswer(state, now, 'call') : doneWith(state, about, now);
    case 'ok':
      return topAnswer(state, now, 'any');
    case 'undo':
      return send({ kind: 'undo' }, 'taken back');
    case 'back':
      return back(state, rest, now);
    case 'more':
      return more(state, rest);
    case 'timer':
      return timer(state, rest);
    case 'reading':
      return reading(state, about);
    case 'set': {
      const call = state.calls.find((each) => each.asks.kind === 'oven set');
      return call ? send(answer(call, now), `set: ${callText(call)}`) : say('no oven is waiting to be set');
    }
    case 'door':
      return door(state, rest);
    case 'skip':
      return skip(state, about);
    case 'lost':
      return withComponent(state, about, (id, name) =>
        send({ kind: 'lost', component: id }, `${name}: to be made again`),
      );
    case 'spoilt':
      return spoilt(state, about);
    case 'new':
      return state.replanning.proposal
        ? say('a new timetable is offered already: take, or leave')
        : send({ kind: 'timetable asked' }, 'a new timetable is being worked out');
    case 'take':
    case 'leave':
      return answerOffer(state, verb);
    case 'way':
      return way(state, about);
    case 'turned':
      return turned(state, about);
    case 'guests':
      return guestsWord(state, rest, now);
    case 'status':
    case 'help':
    case 'quit':
    case 'stop':
      return { kind: verb };
    default:
      if (isAlarmWord(verb)) return ofAlarms(state, verb, about, now);
      if (verb === 'next' && /^[0-9]{1,3}$/.test(about)) return asked(nextAgo(Number(about), { state, now }));
      if (isStageWord(verb)) return onStage(state, verb, now);
      return say(`"${verb}" is no word this knows; help lists them`);
  }
}

const ALARM_WORDS = ['shelve', 'unshelve', 'out', 'in', 'quiet', 'sound', 'heard'] as const;
type AlarmWord = (typeof ALARM_WORDS)[number];
const isAlarmWord = (verb: string): verb is AlarmWord => ALARM_WORDS.some((word) => word === verb);

/** Words about alarms and what sounds. */
function ofAlarms(state: BenchState, verb: AlarmWord, about: string, now: EpochMs): Asked {
  switch (verb) {
    case 'shelve':
      return shelve(state, about);
    case 'unshelve':
      return unshelve(state, about);
    case 'out':
      return takeOut(state, about);
    case 'in':
      return putBack(state, about);
    case 'quiet':
      return quiet(about);
    case 'sound':
      return soundTest(about);
    case 'heard':
      return heard(state, now);
  }
}

function spoilt(state: BenchState, about: string): Asked {
  const [act] = spoiltWord(about, state)?.acts ?? [];
  if (act?.kind === 'send') return send(act.happening, act.said.replace(TAKE_BACK, ''));
  const swaps = state.setup.rundown?.swaps.map(({ id }) => clean(id)).join(', ');
  return say(swaps === undefined ? 'this run has no swaps' : `which swap? ${swaps}`);
}

/** What the stage is asked by a word: the same as by its key. */
const onStage = (state: BenchState, word: StageWord, now: EpochMs): Asked =>
  asked(stageWord(word, { state, now }));

function asked(pressed: Pressed | undefined): Asked {
  const [act] = pressed?.acts ?? [];
  if (act?.kind === 'send') return send(act.happening, act.said.replace(TAKE_BACK, ''));
  return say(pressed?.ui.note?.text ?? 'nothing is on air');
}

function topAnswer(state: BenchState, now: EpochMs, what: 'call' | 'any'): Asked {
  const top = topmost(state, now);
  if (what === 'any' && top.kind === 'alarm')
    return send({ kind: 'heard', key: top.alarm.key }, `heard: ${clean(top.alarm.kind)}`);
  const call = topmostCall(state, now);
  return call ? send(answer(call, now), `done: ${callText(call)}`) : say('nothing is waiting for an answer');
}

function doneWith(state: BenchState, about: string, now: EpochMs): Asked {
  return withComponent(state, about, (id, name) => {
    const index = state.components.findIndex((run) => run.component === id);
    const call = standsOpen(state, index);
    if (call) return send(answer(call, now), `done: ${callText(call)}`);
    const step = runningIn(state, index);
    if (!step) return say(`nothing of ${name} runs`);
    return send({ kind: 'done', step: step.id, at: now }, `done: ${stepCalled(state, step.id)}`);
  });
}

function back(state: BenchState, [figure = '', ...rest]: readonly string[], now: EpochMs): Asked {
  const count = Number(figure);
  if (!(count > 0 && count <= 1440)) return say('back wants minutes: back 4');
  const at = plus(now, -60 * count);
  const dated = (call: Call | undefined, running: Step | undefined, otherwise: string): Asked => {
    if (call) return send(answer(call, at), `done ${count} min ago: ${callText(call)}`);
    if (!running) return say(otherwise);
    const said = `done ${count} min ago: ${stepCalled(state, running.id)}`;
    return send({ kind: 'done', step: running.id, at }, said);
  };
  if (rest.length === 0) return dated(topmostCall(state, now), undefined, 'nothing is waiting for an answer');
  return withComponent(state, rest.join(' '), (id, name) => {
    const index = state.components.findIndex((run) => run.component === id);
    return dated(standsOpen(state, index), runningIn(state, index), `nothing of ${name} runs`);
  });
}

function more(state: BenchState, [figure = '', ...rest]: readonly string[]): Asked {
  const count = Number(figure);
  if (!(count > 0 && count <= 1440)) return say('more wants minutes: more 3');
  const give = (index: number | undefined, name: string): Asked => {
    const step = runningIn(state, index);
    if (!step) return say(name === '' ? 'nothing runs' : `nothing of ${name} runs`);
    return send(
      { kind: 'more', step: step.id, length: minutes(count) },
      `${count} min more: ${stepCalled(state, step.id)}`,
    );
  };
  if (rest.length === 0) return give(undefined, '');
  return withComponent(state, rest.join(' '), (id, name) =>
    give(
      state.components.findIndex((run) => run.component === id),
      name,
    ),
  );
}

function timer(state: BenchState, [figure = '', ...rest]: readonly string[]): Asked {
  const count = Number(figure);
  if (!(count > 0 && count <= 1440)) return say('timer wants minutes, and a name if you like: timer 5 tea');
  const taken = new Set(state.timers.map((each) => each.name));
  const spare = Array.from({ length: taken.size + 1 }, (_, index) => `timer ${index + 1}`).find(
    (name) => !taken.has(name),
  );
  const name = rest.join(' ').slice(0, 40) || (spare ?? 'timer');
  return send({ kind: 'timer', name, length: minutes(count) }, `${name}: ${count} min`);
}

function reading(state: BenchState, about: string): Asked {
  const probes = probesOf(state);
  const match = /^(.*?)\s*([+-]?[\d.]+\s*°?\s*[cf])$/.exec(about);
  const temperature = match ? parseTemperature(match[2] ?? '') : undefined;
  if (!match || !temperature) return say('reading wants a probe and a temperature: reading cream 12.5 C');
  if (!temperature.ok) return say(`${temperature.problem}; ${temperature.hint}`);
  const name = match[1] ?? '';
  const probe =
    name === '' && probes.length === 1 ? probes[0] : probes.find((each) => each.toLowerCase() === name);
  if (probe === undefined)
    return say(
      probes.length === 0 ? 'the plan has no probe' : `the plan's probes are ${probes.map(clean).join(', ')}`,
    );
  return send(
    { kind: 'reading', probe, temperature: temperature.value },
    `${clean(probe)}: ${match[2]?.toUpperCase() ?? ''}`,
  );
}

function door(state: BenchState, [way = '', ...rest]: readonly string[]): Asked {
  const ovens = ovenNames(state);
  const named = rest.join(' ');
  const oven =
    named === '' && ovens.length === 1 ? ovens[0] : ovens.find((each) => each.toLowerCase() === named);
  if (oven === undefined) return say(`which oven? ${ovens.map(clean).join(', ')}`);
  const to =
    way === '' ? doorAfter(state, oven) : (['open', 'shut', 'ajar'] as const).find((each) => each === way);
  return to === undefined
    ? say('a door is open, shut or ajar: door open')
    : send({ kind: 'door', oven, door: to }, `${clean(oven)}: door ${to}`);
}

function skip(state: BenchState, about: string): Asked {
  return withComponent(state, about, (id, name) => {
    const run = state.components.find((each) => each.component === id);
    const step = run?.steps.find((each) => each.state === 'running' || each.state === 'waiting');
    if (!step) return say(`nothing of ${name} is left`);
    return send({ kind: 'skip', step: step.step }, `left out: ${stepCalled(state, step.step)}`);
  });
}

function answerOffer(state: BenchState, verb: 'take' | 'leave'): Asked {
  const { proposal } = state.replanning;
  if (!proposal) return say('no new timetable is offered');
  return verb === 'take'
    ? send({ kind: 'timetable', timetable: proposal.timetable }, 'taken: the new timetable')
    : send({ kind: 'declined' }, 'left: the old timetable goes on');
}

/** One of several ways out, by its number; 1 is the one that is offered first. */
function way(state: BenchState, about: string): Asked {
  const { proposal } = state.replanning;
  if (!proposal) return say('no new timetable is offered');
  if (about === '1') return answerOffer(state, 'take');
  const other = /^[2-9]$/.test(about) ? proposal.others[Number(about) - 2] : undefined;
  return other
    ? send({ kind: 'timetable', timetable: other.timetable }, `taken: ${clean(other.what)}`)
    : say(proposal.others.length === 0 ? 'there is one way: take' : `way 1 to ${1 + proposal.others.length}`);
}

/** What stands in an oven was turned round: what a call asks for, else the running step that wants it. */
function turned(state: BenchState, about: string): Asked {
  const calls = state.calls.flatMap((call) => (call.asks.kind === 'turn' ? [call.asks.step] : []));
  const all = state.setup.workload.components.flatMap((component) => component.steps);
  const running = new Set(
    state.components.flatMap((run) =>
      run.steps.flatMap((step) => (step.state === 'running' ? [step.step] : [])),
    ),
  );
  const ids = [...calls, ...all.flatMap((step) => (step.turn && running.has(step.id) ? [step.id] : []))];
  const turn = (fits: (step: Step) => boolean): Asked => {
    const step = ids.map((id) => all.find((each) => each.id === id)).find((each) => each && fits(each));
    return step
      ? send({ kind: 'turned', step: step.id }, `turned: ${stepCalled(state, step.id)}`)
      : say('nothing in an oven is to be turned');
  };
  return about === ''
    ? turn(() => true)
    : withComponent(state, about, (id) => turn((step) => step.component === id));
}

function heard(state: BenchState, now: EpochMs): Asked {
  const loud = sounding(state, now);
  if (loud.length === 0) return say('nothing is sounding');
  return {
    kind: 'send',
    happenings: loud.map(({ key }) => ({ kind: 'heard', key })),
    said: 'heard; what is to be done still stands',
  };
}

/** The component meant: by a whole name of it, or by how its names begin where that is true of one only. */
function withComponent(
  state: BenchState,
  about: string,
  then: (id: ComponentId, name: string) => Asked,
): Asked {
  const { workload } = state.setup;
  const { nameOf } = lookupIn(workload);
  const known = workload.components.map(({ id, name, title }) => ({
    id,
    names: [nameOf(id), name, title, id].map((each) => clean(each).toLowerCase()),
  }));
  const meant = (fits: (name: string) => boolean): ComponentId[] =>
    known.filter(({ names }) => names.some(fits)).map(({ id }) => id);
  const exact = known.filter(({ names }) => names[0] === about).map(({ id }) => id);
  const found = [exact, meant((name) => name === about), meant((name) => name.startsWith(about))].find(
    (ids) => ids.length > 0,
  );
  const [only] = found ?? [];
  if (about === '' || only === undefined || (found ?? []).length > 1)
    return say(`which component? ${workload.components.map(({ id }) => nameOf(id)).join(', ')}`);
  return then(only, nameOf(only));
}
