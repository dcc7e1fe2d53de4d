import { plus, roughly, seconds } from '../units/index.ts';
import { acted, refused, type Acted } from './acted.ts';
import type { BenchEvent } from './events.ts';
import type { BenchState, LogLine } from './state.ts';

type Of<K extends BenchEvent['kind']> = Extract<BenchEvent, { kind: K }>;

/** How long an alarm may be set aside, s: a grave one only while it is being seen to. */
const LONGEST_ASIDE_S = 2 * 3600;
const LONGEST_ASIDE_HIGH_S = 600;
const LONGEST_QUIET_S = 3600;
const LONGEST_REASON = 200;

const told = (state: BenchState, line: Omit<LogLine, 'kind'>): BenchState => ({
  ...state,
  log: [...state.log, { ...line, kind: 'alarm' }],
});

/** A call or alarm was heard. */
export function hear(state: BenchState, key: string): Acted {
  const calls = state.calls.map((call) => (call.key === key ? { ...call, heard: true } : call));
  const alarms = state.alarms.flatMap((alarm) => {
    if (alarm.key !== key) return [alarm];
    const { owesFrom: _, ...rest } = alarm;
    return alarm.state === 'returned' ? [] : [{ ...rest, state: 'heard' as const }];
  });
  if (!state.calls.some((call) => call.key === key) && !state.alarms.some((alarm) => alarm.key === key)) {
    return refused('that no longer stands');
  }
  const over = state.alarms
    .filter((alarm) => alarm.key === key && alarm.state === 'returned')
    .map((alarm) => ({ ...alarm, state: 'heard' as const }));
  return acted({ ...state, calls, alarms, lately: [...state.lately, ...over] });
}

/** An alarm is set aside for a while, for a reason. It comes back by itself. */
export function shelve(state: BenchState, { key, length, reason, time }: Of<'shelved'>): Acted {
  const alarm = state.alarms.find((each) => each.key === key && each.state !== 'returned');
  if (!alarm) return refused('that alarm no longer stands');
  if (reason.trim() === '' || reason.length > LONGEST_REASON)
    return refused('say in a few words why it is set aside');
  const longest = alarm.priority === 'high' ? LONGEST_ASIDE_HIGH_S : LONGEST_ASIDE_S;
  if (!(length > 0)) return refused('it is set aside for longer than nothing');
  if (length > longest)
    return refused(`an alarm like this can be set aside for ${roughly(seconds(longest))} at most`);
  const { kind, cause, priority } = alarm;
  const shelved = { key, kind, cause, priority, until: plus(time, length), reason };
  const text = `set aside for ${roughly(length)}, ${reason}: ${cause}`;
  return acted(told({ ...state, shelved: [...state.shelved, shelved] }, { at: time, key, text }));
}

/** An alarm that was set aside is wanted back. */
export function unshelve(state: BenchState, { key, time }: Of<'unshelved'>): Acted {
  const shelved = state.shelved.find((each) => each.key === key);
  if (!shelved) return refused('that alarm is not set aside');
  const rest = state.shelved.filter((each) => each !== shelved);
  // Its delay is long over.
  const arising = { ...state.arising, [key]: state.setup.begunAt };
  return acted(
    told({ ...state, arising, shelved: rest }, { at: time, key, text: `taken up again: ${shelved.cause}` }),
  );
}

/** A kind of alarm is not wanted in this run, for a reason. */
export function takeOut(state: BenchState, { alarm: kind, reason, time }: Of<'out of service'>): Acted {
  if (state.outOfService.some((each) => each.kind === kind))
    return refused(`"${kind}" is out of service already`);
  if (reason.trim() === '' || reason.length > LONGEST_REASON)
    return refused('say in a few words why it is out of service');
  const outOfService = [...state.outOfService, { kind, since: time, reason }];
  return acted(
    told({ ...state, outOfService }, { at: time, text: `no alarm "${kind}" in this run: ${reason}` }),
  );
}

export function putBack(state: BenchState, { alarm: kind, time }: Of<'in service'>): Acted {
  if (!state.outOfService.some((each) => each.kind === kind)) return refused(`"${kind}" is in service`);
  const outOfService = state.outOfService.filter((each) => each.kind !== kind);
  return acted(told({ ...state, outOfService }, { at: time, text: `alarm "${kind}" is in service again` }));
}

/** Nothing sounds for so long; nothing else changes. */
export function beQuiet(state: BenchState, { length, time }: Of<'quiet'>): Acted {
  const { quietUntil: _, ...rest } = state;
  if (length > LONGEST_QUIET_S)
    return refused(`it can be quiet for ${roughly(seconds(LONGEST_QUIET_S))} at most`);
  // It ends by the clock, so that what stands unheard then rings.
  const quietUntil = plus(time, Math.max(0, length));
  if (length === 0 && state.quietUntil === undefined) return refused('it is not quiet');
  const text = length > 0 ? `quiet for ${roughly(length)}: nothing sounds` : 'sound again';
  return acted(told({ ...rest, quietUntil }, { at: time, text }));
}
