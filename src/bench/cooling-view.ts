import { rulesNamed, standsOf, type CoolingRules, type CoolingStand, type Sample } from '../heat/index.ts';
import type { ComponentId, StepId } from '../plan/index.ts';
import {
  earlier,
  secondsBetween,
  seconds,
  type Celsius,
  type EpochMs,
  type Seconds,
} from '../units/index.ts';
import { coldBy, type Expected } from './cooling-forecast.ts';
import { timeOut, type TimeOut } from './cooling-trips.ts';
import { limitWords, missedWords } from './cooling-words.ts';
import { lostIn, usedUpAt, watchedIn, type Watched } from './cooling.ts';
import type { BenchState } from './state.ts';

/** How everything whose cooling is watched stands with the chosen rules. */
export interface CoolingView {
  /** The chosen set; without one there are readings, and neither clocks nor verdicts. */
  readonly rules?: CoolingRules;
  readonly components: readonly ComponentCooling[];
}

/** One component: what was read of it, and its clocks. */
export interface ComponentCooling {
  readonly component: ComponentId;
  readonly name: string;
  readonly attempt: number;
  readonly probe: string;
  /** Since when it cools, and the step with whose end that began (food that was never hot: the step it is made in). */
  readonly since: EpochMs;
  readonly begunBy?: StepId;
  /** The last reading, however old. */
  readonly reading?: Sample;
  readonly clocks: readonly CoolingClockView[];
  readonly out?: TimeOutView;
  /** Since when everything that needs it is done: its clocks stand still, and nobody has to act any more. */
  readonly usedUpAt?: EpochMs;
}

export interface CoolingClockView {
  /** The limit in words: `57 to 21 C within 2 h`. */
  readonly words: string;
  readonly to: Celsius;
  readonly within: Seconds;
  /** met: a reading in time was as cold. passed: the time is over, and none was. Neither says anything but that. */
  readonly state: CoolingStand['state'];
  readonly startedAt?: EpochMs;
  /** The reading that dates the start. */
  readonly startedWith?: Sample;
  /** No reading says when the clock started, so it runs from the step named by `begunBy`. */
  readonly isAssumed?: true;
  readonly by?: EpochMs;
  /** Seconds to the limit while the clock runs. */
  readonly left?: Seconds;
  readonly warnFrom?: EpochMs;
  /** It is running out: a tenth of the time is left, or it is predicted too late. */
  readonly isClose?: true;
  /** The reading that was as cold, in time or not. */
  readonly met?: Sample;
  /** When it is expected to be as cold, a degree allowed for the probe. A prediction meets nothing. */
  readonly expected?: Expected;
  /** After a missed limit: what the rule says, and to follow one's own plan. */
  readonly says?: string;
}

export interface TimeOutView {
  readonly total: Seconds;
  readonly isOut: boolean;
  /** Each limit of the rules: how long there is to it, negative once it is over, and what the rules say from then on. */
  readonly limits: readonly { readonly after: Seconds; readonly left: Seconds; readonly says: string }[];
}

/** The cooling of every component that is watched and has begun, in the order of the workload. */
export function coolingViewOf(state: BenchState, now: EpochMs): CoolingView {
  const watched = watchedIn(state);
  const rules = rulesNamed(state.setup.workload.kitchen.rules);
  return {
    ...(rules ? { rules } : {}),
    components: watched.map((each) => componentCooling(state, each, now)),
  };
}

/** The cooling of attempts that were lost, as far as it had come with their last reading. */
export function lostCooling(state: BenchState): readonly ComponentCooling[] {
  return lostIn(state).map((watched) => {
    const { component, name, probe, attempt, run } = watched;
    return {
      component: component.id,
      name,
      attempt,
      probe,
      since: run.since,
      ...(run.last === undefined ? {} : { reading: run.last }),
      clocks: standsAt(state, watched, run.last?.at ?? run.since),
    };
  });
}

function componentCooling(state: BenchState, watched: Watched, now: EpochMs): ComponentCooling {
  const { component, name, probe, attempt, run, begunBy } = watched;
  const usedUp = usedUpAt(state, component);
  const out = timeOut(state, component, now);
  return {
    component: component.id,
    name,
    attempt,
    probe,
    since: run.since,
    ...(begunBy === undefined ? {} : { begunBy }),
    ...(run.last === undefined ? {} : { reading: run.last }),
    clocks: standsAt(state, watched, usedUp === undefined ? now : earlier(now, usedUp)),
    ...(out ? { out: outView(out) } : {}),
    ...(usedUp === undefined ? {} : { usedUpAt: usedUp }),
  };
}

const outView = ({ total, isOut, limits }: TimeOut): TimeOutView => ({
  total,
  isOut,
  limits: limits.map(({ after, says }) => ({ after, left: seconds(after - total), says })),
});

function standsAt(state: BenchState, watched: Watched, now: EpochMs): readonly CoolingClockView[] {
  const { run, limits } = watched;
  return standsOf(run, limits, now).map((stand) => clockView(state, watched, stand, now));
}

function clockView(state: BenchState, watched: Watched, stand: CoolingStand, now: EpochMs): CoolingClockView {
  const { component, rules } = watched;
  const { to, within } = stand.limit;
  const about = { words: limitWords(stand.limit, component), to, within, state: stand.state };
  if (stand.state === 'not started') return about;
  const { startedAt, startedWith, isAssumed, by } = stand;
  const clock = {
    ...about,
    startedAt,
    by,
    ...(startedWith === undefined ? {} : { startedWith }),
    ...(isAssumed ? { isAssumed } : {}),
  };
  switch (stand.state) {
    case 'running': {
      const expected = coldBy(state, watched, to);
      const isClose = now >= stand.warnFrom || (expected !== undefined && expected.usual > by);
      return {
        ...clock,
        left: secondsBetween(now, by),
        warnFrom: stand.warnFrom,
        ...(isClose ? { isClose } : {}),
        ...(expected ? { expected } : {}),
      };
    }
    case 'met':
      return { ...clock, met: stand.met };
    case 'passed':
      return {
        ...clock,
        ...(stand.met ? { met: stand.met } : {}),
        ...(rules ? { says: missedWords(rules, stand.limit, component) } : {}),
      };
  }
}
