import type { BenchState, Gap } from '../bench/index.ts';
import { roughly, secondsBetween, wallClock, type EpochMs } from '../units/index.ts';
import { callText } from './now.ts';
import { offerView } from './offer.ts';
import { clean, clockWords } from './text.ts';

/** What happened while nobody looked, and what is owed now. */
export interface AwayView {
  /** `18:02 to 18:40, 38 min: the computer slept`. */
  readonly span: string;
  /** What happened meanwhile, oldest first. */
  readonly happened: readonly { readonly clock: string; readonly text: string }[];
  /** What is owed now, the most urgent first. */
  readonly owed: readonly string[];
}

/** A stretch in which nobody looked at the board, although the run was kept. */
export interface Absence {
  readonly from: EpochMs;
  readonly to: EpochMs;
  readonly reason: Gap['reason'] | 'nobody looked';
}

const REASONS: Readonly<Record<Absence['reason'], string>> = {
  'keeper stopped': 'the run was not kept',
  'machine slept': 'the computer slept',
  'clock stepped': "the computer's clock was changed",
  'nobody looked': 'nobody pressed a key',
};

/** What to tell somebody who comes back after `absence`. */
export function awayView(state: BenchState, absence: Absence, now: EpochMs): AwayView {
  const timeZone = state.setup.workload.kitchen.timeZone;
  const clock = (moment: EpochMs): string => clockWords(moment, now, timeZone);
  const length = roughly(secondsBetween(absence.from, absence.to));
  const inside = (moment: EpochMs): boolean => moment > absence.from && moment <= absence.to;
  const offer = offerView(state, now, undefined);
  return {
    span: `${clock(absence.from)} to ${clock(absence.to)}, ${length}: ${REASONS[absence.reason]}`,
    happened: state.log
      .filter((line) => inside(line.at) || (line.knownAt !== undefined && inside(line.knownAt)))
      .map((line) => ({ clock: clock(line.at), text: clean(line.text) })),
    owed: [
      ...(offer ? [`a new timetable is offered: ${offer.headline}`] : []),
      ...state.alarms
        .filter((alarm) => alarm.state !== 'returned')
        .map((alarm) => clean(`${alarm.kind}: ${alarm.action}`)),
      ...state.calls
        .filter((call) => call.due <= now)
        .map((call) => `${callText(call)}, due ${wallClock(call.due, timeZone)}`),
    ],
  };
}
