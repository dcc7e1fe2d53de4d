import { forecastOf, type BenchState, type OvenRun, type Projection } from '../bench/index.ts';
import type { Door, OvenHeat, StepId } from '../plan/index.ts';
import {
  countdown,
  earlier,
  later,
  plus,
  secondsBetween,
  type Celsius,
  type EpochMs,
} from '../units/index.ts';
import { columnOf, span, type Axis } from './axis.ts';
import { lookupIn, type Stretch } from './lookup.ts';
import { heatWords, sameHeat } from './next.ts';
import {
  forecastView,
  lastOpening,
  openingWords,
  reckonedCourse,
  reckonedWords,
  type ForecastView,
  type TurnAhead,
} from './oven-heat.ts';
import { clean, clockWords } from './text.ts';

/** A stretch of the axis over which the oven is asked to have one heat: columns `from` up to but not including `to`. */
export interface AskedHeat {
  readonly from: number;
  readonly to: number;
  /** The level it stands on: 0 the lowest of {@link OvenView.levels}. */
  readonly level: number;
}

export interface OvenDemandView {
  readonly from: number;
  readonly to: number;
  readonly level: number;
  readonly step: string;
  readonly state: Stretch['state'];
  readonly door: Door;
}

/** One oven: what it does, its door, and what it is asked over time. */
export interface OvenView {
  readonly name: string;
  /** `220 C`, `heating to 220 C, right at 18:52`, `off`. */
  readonly stands: string;
  /** The same in a few cells: `220 C`, `to 220 C`. */
  readonly short: string;
  /** What it is reckoned to stand at while it is on its way: `about 165 C`, `about 165 C, by its probe`. */
  readonly reckoned?: string;
  /** When it will be right, and who wants it when. */
  readonly forecast?: ForecastView;
  /** What it is reckoned to stand at, in Celsius: for each column of the axis from now on. */
  readonly curve: readonly Celsius[];
  readonly door: OvenRun['door'];
  /** How long the door must stay shut: `5:12`, for what, and what opening it would cost. */
  readonly lock?: { readonly left: string; readonly step: string; readonly cost?: string };
  /** How often it was opened while it was locked. */
  readonly openings: number;
  /** The last opening that is known, and what it cost. */
  readonly lastOpening?: string;
  /** The heats it is asked for, the lowest first: `off`, `180 C`, `220 C`. */
  readonly levels: readonly string[];
  readonly asked: readonly AskedHeat[];
  readonly demands: readonly OvenDemandView[];
  /** Where two demands want different things of it at once. */
  readonly clashes: readonly ClashView[];
}

export interface ClashView {
  readonly from: number;
  readonly to: number;
  /** The level of the one demand that is not met; without one, two demands want different things. */
  readonly level?: number;
}

/** One view for each oven of the kitchen. */
export function ovenViews(
  state: BenchState,
  projection: Projection,
  times: ReadonlyMap<StepId, Stretch>,
  axis: Axis,
  now: EpochMs,
): OvenView[] {
  const lookup = lookupIn(state.setup.workload);
  const used = state.ovens.filter((run) => isUsed(run, state));
  return used.map((run) => {
    const wanted = demandsOn(run.oven, state, times);
    const { asked, ahead } = askedLine(run, wanted, state, axis, now);
    const heats = distinctHeats([
      run.heat,
      ...wanted.map((demand) => demand.heat),
      ...asked.map(({ heat }) => heat),
    ]);
    const level = (heat: OvenHeat): number =>
      Math.max(
        0,
        heats.findIndex((each) => sameHeat(each, heat)),
      );
    const forecast = forecastView(state, projection, run.oven, now);
    const opened = lastOpening(state, run, now);
    return {
      name: clean(run.oven),
      ...standing(run, state, projection, now),
      ...(forecast ? { forecast } : {}),
      curve: reckonedCourse(state, run, ahead, axis, now),
      door: run.door,
      ...(run.lockedUntil && run.lockedUntil.at > now
        ? {
            lock: {
              left: countdown(secondsBetween(now, run.lockedUntil.at)),
              step: lookup.called(run.lockedUntil.step),
              ...lockCost(state, run, now),
            },
          }
        : {}),
      openings: run.earlyOpenings.length,
      ...(opened === undefined ? {} : { lastOpening: opened }),
      levels: heats.map(heatWords),
      asked: asked.map(({ heat, ...columns }) => ({
        ...columns,
        level: level(heat),
      })),
      demands: wanted.flatMap(({ stretch, heat, door }) => {
        const columns = span(axis, stretch.start, stretch.end);
        if (!columns) return [];
        return [
          {
            ...columns,
            level: level(heat),
            step: clean(stretch.step.name),
            state: stretch.state,
            door,
          },
        ];
      }),
      clashes: clashesOn(projection, wanted, axis, level),
    };
  });
}

/** An oven that no step goes into, and that nobody has turned on, is none of this run's. */
const isUsed = ({ oven, heat }: OvenRun, state: BenchState): boolean =>
  state.ovens.length === 1 || heat.kind === 'at' || state.timetable.steps.some((step) => step.oven === oven);

interface Wanted {
  readonly stretch: Stretch;
  readonly heat: OvenHeat;
  readonly door: Door;
}

function demandsOn(oven: string, state: BenchState, times: ReadonlyMap<StepId, Stretch>): Wanted[] {
  const only = state.setup.workload.kitchen.ovens.length === 1;
  return [...times.values()]
    .flatMap((stretch) => {
      const demand = stretch.step.oven;
      const chosen = stretch.oven ?? demand?.oven ?? (only ? oven : undefined);
      return demand && chosen === oven ? [{ stretch, heat: demand.heat, door: demand.door }] : [];
    })
    .toSorted((a, b) => a.stretch.start - b.stretch.start);
}

/** The columns in which the two steps of a clash overlap; where they only come too close, the moment it happens. */
function clashesOn(
  projection: Projection,
  wanted: readonly Wanted[],
  axis: Axis,
  level: (heat: OvenHeat) => number,
): ClashView[] {
  return projection.clashes.flatMap((clash) => {
    const [first, second] = clash.steps.map((id) => wanted.find(({ stretch }) => stretch.step.id === id));
    if (clash.kind === 'hands' || !first) return [];
    const [one, other] = [first.stretch, second?.stretch];
    const start = other ? later(one.start, other.start) : clash.at;
    const end = other ? earlier(one.end, other.end) : clash.at;
    const columns = start < end ? span(axis, start, end) : span(axis, clash.at, clash.at);
    return columns ? [{ ...columns, ...(other ? {} : { level: level(first.heat) }) }] : [];
  });
}

const warmth = (heat: OvenHeat): number => (heat.kind === 'off' ? -1000 : heat.temperature.celsius);

function distinctHeats(heats: readonly OvenHeat[]): OvenHeat[] {
  const kept: OvenHeat[] = [];
  for (const heat of heats) if (!kept.some((each) => sameHeat(each, heat))) kept.push(heat);
  return kept.toSorted((a, b) => warmth(a) - warmth(b));
}

const OFF: OvenHeat = { kind: 'off' };

const turnsOffNow = (state: BenchState, { oven }: OvenRun): boolean =>
  state.calls.some(({ asks }) => asks.kind === 'oven set' && asks.oven === oven && asks.heat.kind === 'off');

/** What the knob says over time: as it stands now, and before each later demand as much earlier as the timetable has it. */
function askedLine(
  run: OvenRun,
  wanted: readonly Wanted[],
  state: BenchState,
  axis: Axis,
  now: EpochMs,
): {
  readonly asked: readonly { readonly from: number; readonly to: number; readonly heat: OvenHeat }[];
  /** The turns that are still to come. */
  readonly ahead: readonly TurnAhead[];
} {
  const { settings } = state.timetable;
  const isOff = new Set(settings.filter(({ heat }) => heat.kind === 'off').map(({ step }) => step));
  const leads = new Map(
    settings.flatMap(({ step, hotBy, at, heat }) =>
      heat.kind === 'off' ? [] : [[step, secondsBetween(hotBy, at)]],
    ),
  );
  const past = wanted.filter((demand) => demand.stretch.state === 'past');
  const turns: TurnAhead[] = [];
  for (const { stretch, heat } of past)
    if (stretch.start < run.setAt) turns.push({ at: stretch.start, heat });
  turns.push({ at: run.setAt, heat: run.heat });
  let latest = now;
  const turn = (at: EpochMs, heat: OvenHeat): void => {
    // A turn still to come cannot lie in the past, nor before the turn that comes ahead of it.
    latest = at > latest ? at : latest;
    if (!sameHeat(turns.at(-1)?.heat ?? heat, heat)) turns.push({ at: latest, heat });
  };
  for (const { stretch, heat } of wanted) {
    if (stretch.state === 'ahead') turn(plus(stretch.start, leads.get(stretch.step.id) ?? 0), heat);
    // With the last load out it is turned off.
    if (stretch.state !== 'past' && heat.kind === 'at' && isOff.has(stretch.step.id)) turn(stretch.end, OFF);
  }
  // So it would have been already, and that is called now.
  if (turnsOffNow(state, run)) turn(now, OFF);
  const asked = turns.flatMap(({ at, heat }, index) => {
    const end = turns[index + 1]?.at ?? axis.to;
    const from = columnOf(axis, at);
    const to = columnOf(axis, end);
    return to > from ? [{ from, to, heat }] : [];
  });
  return { asked, ahead: turns.filter(({ at }) => at > run.setAt && at >= now) };
}

function lockCost(state: BenchState, run: OvenRun, now: EpochMs): { readonly cost?: string } {
  const cost = openingWords(state, run, now);
  return cost === undefined ? {} : { cost };
}

function standing(
  run: OvenRun,
  state: BenchState,
  projection: Projection,
  now: EpochMs,
): Pick<OvenView, 'stands' | 'short' | 'reckoned'> {
  const heat = heatWords(run.heat);
  const about = reckonedWords(state, run, forecastOf(state, projection, run.oven, now));
  const reckoned = about === undefined ? {} : { reckoned: about };
  if (run.heat.kind === 'off') return { stands: 'off', short: 'off', ...reckoned };
  if (run.phase === 'at temperature' || run.readyAt <= now) return { stands: `at ${heat}`, short: heat };
  const timeZone = state.setup.workload.kitchen.timeZone;
  const way = run.phase === 'cooling' ? 'falling' : 'heating';
  return {
    stands: `${way} to ${heat}, right at ${clockWords(run.readyAt, now, timeZone)}`,
    short: `to ${heat}`,
    ...reckoned,
  };
}
