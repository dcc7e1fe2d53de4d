import type { BenchState } from '../bench/index.ts';
import { minutes } from '../units/index.ts';
import { clean } from '../view/index.ts';
import { say, send, type Asked } from './asked.ts';

/* Words about alarms and sound, for plain lines. */

/** The longest reason that is kept. */
const REASON = 80;

/** `shelve`, `shelve 30`, `shelve runs over 30 it is being seen to`: what, how long, why; each may be left out. */
export function shelve(state: BenchState, about: string): Asked {
  const match = /^(\D*?)\s*(?:(\d+(?:\.\d+)?)\s*(?:min\b)?\s*(.*))?$/u.exec(about);
  const [, what = '', figure = '10', why = ''] = match ?? [];
  const standing = state.alarms.filter((alarm) => alarm.state !== 'returned');
  const alarm = what === '' ? standing[0] : standing.find((each) => clean(each.kind) === what);
  const count = Number(figure);
  if (standing.length === 0) return say('no alarm stands that could be set aside');
  if (!alarm)
    return say(`these alarms stand: ${[...new Set(standing.map((each) => clean(each.kind)))].join(', ')}`);
  if (!(count > 0)) return say('shelve wants minutes: shelve 30');
  const reason = why.slice(0, REASON) || 'it is being seen to';
  return send(
    { kind: 'shelved', key: alarm.key, length: minutes(count), reason },
    `set aside for ${count} min: ${clean(alarm.kind)}`,
  );
}

/** `unshelve`, `unshelve runs over`: everything that was set aside, or that kind. */
export function unshelve(state: BenchState, about: string): Asked {
  const back = state.shelved.filter((each) => about === '' || clean(each.kind) === about);
  if (back.length === 0)
    return say(
      state.shelved.length === 0
        ? 'nothing was set aside'
        : `set aside: ${[...new Set(state.shelved.map((each) => clean(each.kind)))].join(', ')}`,
    );
  return {
    kind: 'send',
    happenings: back.map(({ key }) => ({ kind: 'unshelved', key })),
    said: `back: ${back.map((each) => clean(each.kind)).join(', ')}`,
  };
}

/** `out runs over: not wanted here`: that kind of alarm, for the whole run. Only a kind that stands or stood can be meant. */
export function takeOut(state: BenchState, about: string): Asked {
  const [what = '', ...rest] = about.split(':');
  const kinds = [...new Set([...state.alarms, ...state.shelved].map((alarm) => alarm.kind))];
  const kind = kinds.find((each) => clean(each) === what.trim());
  if (kind === undefined)
    return say(
      kinds.length === 0
        ? 'no alarm stands that could be taken out of service'
        : `out wants a kind of alarm, and a reason if you like: out ${clean(kinds[0] ?? '')}: not wanted in this run`,
    );
  const reason = rest.join(':').trim().slice(0, REASON) || 'not wanted in this run';
  return send({ kind: 'out of service', alarm: kind, reason }, `out of service in this run: ${clean(kind)}`);
}

/** `in runs over`: back in service. */
export function putBack(state: BenchState, about: string): Asked {
  const [only] = state.outOfService;
  const out =
    about === '' && state.outOfService.length === 1
      ? only
      : state.outOfService.find((each) => clean(each.kind) === about);
  if (!out)
    return say(
      only === undefined
        ? 'no alarm is out of service'
        : `out of service: ${state.outOfService.map((each) => clean(each.kind)).join(', ')}`,
    );
  return send({ kind: 'in service', alarm: out.kind }, `in service: ${clean(out.kind)}`);
}

/** `quiet 10`, `quiet off`. */
export function quiet(figure: string): Asked {
  if (figure === 'off' || figure === '0')
    return send({ kind: 'quiet', length: minutes(0) }, 'it sounds again');
  const count = Number(figure);
  if (!(count > 0)) return say('quiet wants minutes, or off: quiet 10');
  return send(
    { kind: 'quiet', length: minutes(count) },
    `quiet for ${count} min; everything is told all the same`,
  );
}

/** `sound high`: how that sounds. */
export function soundTest(about: string): Asked {
  const priority = (['high', 'medium', 'low'] as const).find((each) => each === (about || 'high'));
  return priority === undefined
    ? say('a sound is high, medium or low: sound high')
    : send({ kind: 'sound test', priority }, `that is how ${priority} sounds`);
}
