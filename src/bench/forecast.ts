import type { StepId } from '../plan/index.ts';
import { plus, secondsBetween, wallClock, type EpochMs } from '../units/index.ts';
import { acted, refused, type Acted } from './acted.ts';
import { priorityOf } from './alarm-table.ts';
import type { WantedAlarm } from './alarms.ts';
import type { BenchEvent, ForecastClash } from './events.ts';
import { lookup, must, runsOf } from './lookup.ts';
import type { BenchState } from './state.ts';
import type { Watch } from './watch.ts';

/** What changes nothing of what lies ahead. */
const IDLE: ReadonlySet<BenchEvent['kind']> = new Set([
  'clock',
  'heard',
  'timer',
  'timer done',
  'shelved',
  'unshelved',
  'out of service',
  'in service',
  'quiet',
  'sound test',
  'feed',
  'forecast',
  'proposed',
  'not proposed',
  'declined',
  'reading',
]);
/** Time alone changes what lies ahead too, but slowly. */
const ANEW_S = 300;
/** A clash that happens in so many cases, and so soon, is worth a word. */
const LIKELY = 0.5;
const SOON_S = 2400;
/** Once told it is told until it has become so rare. */
const RARE = 0.3;
/** What is told stays told while a new look is under way; without one for so long it is dropped. */
const OUTDATED_S = ANEW_S + 120;

/** When something last changed what lies ahead. */
function changedAt({ history, setup }: BenchState): EpochMs {
  return history.findLast((event) => !IDLE.has(event.kind))?.time ?? setup.begunAt;
}

/** Whether a look ahead should be taken now: something has changed, or the last one is minutes old. */
export function wantsForecast(state: BenchState, now: EpochMs): boolean {
  if (state.servedAt !== undefined) return false;
  const { forecast } = state;
  if (!forecast) return true;
  return forecast.of < changedAt(state) || secondsBetween(forecast.of, now) >= ANEW_S;
}

/** Takes in what was seen ahead, unless something has happened since that changes it. */
export function takeForecast(state: BenchState, event: Extract<BenchEvent, { kind: 'forecast' }>): Acted {
  const { of, clashes } = event;
  if (of < changedAt(state)) return refused('something has happened since that look ahead');
  const known = lookup(state.setup.workload).placed;
  if (clashes.some(({ steps }) => steps.length === 0 || steps.some((id) => !known.has(id))))
    return refused('that look ahead is of another plan');
  return acted({ ...state, forecast: { of, clashes } });
}

const keyOf = (clash: ForecastClash): string => `ahead ${clash.key}`;

/**
 * Clashes of the last look ahead that are likely and near; of those on the hands only the first, as what comes after it
 * changes with every step. One of which an alarm stands is told until it has become rare, and while a new look is under way.
 */
function likelyClashes(state: BenchState, watch: Watch): readonly ForecastClash[] {
  const { forecast } = state;
  if (!forecast || watch.reached(plus(forecast.of, OUTDATED_S))) return [];
  const isOutdated = forecast.of < changedAt(state);
  const runs = runsOf(state);
  const likely = forecast.clashes.filter((clash) => {
    const stands = state.alarms.some((alarm) => alarm.key === keyOf(clash) && alarm.state !== 'returned');
    const share = clash.chance === 'certain' ? 1 : clash.chance;
    if (share < (stands ? RARE : LIKELY) || (isOutdated && !stands)) return false;
    // What has begun does not lie ahead any more.
    if (clash.steps.slice(-1).some((id) => must(runs, id).state !== 'waiting')) return false;
    return watch.reached(plus(clash.soonest, -SOON_S));
  });
  const hands = likely.find(({ kind }) => kind === 'hands');
  return likely.filter((clash) => clash.kind !== 'hands' || clash === hands);
}

/**
 * Alarms for the clashes that are likely and near. What the usual course of things leads into anyway has its own alarm, and
 * is not told twice: `told` has those.
 */
export function forecastAlarms(
  state: BenchState,
  told: readonly WantedAlarm[],
  watch: Watch,
): readonly WantedAlarm[] {
  const { placed } = lookup(state.setup.workload);
  return likelyClashes(state, watch).flatMap((clash): WantedAlarm[] => {
    const components = clash.steps.map((id) => must(placed, id).component);
    const second = components.at(-1);
    const isTold = told.some(
      ({ kind, component }) =>
        (kind === 'oven clash' || kind === 'oven not hot' || kind === 'hands clash') &&
        components.some(({ id }) => id === component),
    );
    if (!second || isTold) return [];
    const clock = wallClock(clash.soonest, state.setup.workload.kitchen.timeZone);
    return [
      {
        key: keyOf(clash),
        kind: 'clash ahead',
        component: second.id,
        cause: `${clash.why}: ${chanceWords(clash)}, ${clock} at the soonest`,
        consequence: 'one of the two has to wait, or is done wrong',
        action: `hold ${second.name} back, or look at new timetables (n)`,
        by: clash.soonest,
        priority: priorityOf('clash ahead'),
      },
    ];
  });
}

/**
 * When a step that is going is to be reckoned to end where a likely clash hangs on it: at its longest, so that a new
 * timetable avoids the clash and does not just hope. One that is certain needs no such help. Nothing for any other step.
 */
export function prudentEnd(state: BenchState, id: StepId, watch: Watch): EpochMs | undefined {
  const run = must(runsOf(state), id);
  if (run.state !== 'running') return undefined;
  const hangs = likelyClashes(state, watch).some(
    ({ steps, chance }) => chance !== 'certain' && steps.length > 1 && steps[0] === id,
  );
  const { step } = must(lookup(state.setup.workload).placed, id);
  if (!hangs || step.length.kind === 'rest') return undefined;
  const end = plus(run.startedAt, step.length.range.high + run.extra);
  return watch.reached(end) ? undefined : end;
}

/** `whatever happens`, `in 7 of 10 cases`. */
export function chanceWords({ chance }: Pick<ForecastClash, 'chance'>): string {
  if (chance === 'certain') return 'whatever happens within the ranges';
  if (chance >= 0.95) return 'nearly always';
  return `in ${Math.max(1, Math.round(chance * 10))} of 10 cases`;
}
