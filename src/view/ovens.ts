import type { BenchState, OvenRun, Projection } from '../bench/index.ts';
import type { Door, OvenHeat, StepId } from '../plan/index.ts';
import { countdown, earlier, later, plus, secondsBetween, type EpochMs } from '../units/index.ts';
import { columnOf, span, type Axis } from './axis.ts';
import { lookupIn, type Stretch } from './lookup.ts';
import { heatWords, sameHeat } from './next.ts';
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
  /** What it is reckoned to stand at while it is on its way: `about 165 C`. */
  readonly reckoned?: string;
  readonly door: OvenRun['door'];
  /** How long the door must stay shut: `5:12`, and for what. */
  readonly lock?: { readonly left: string; readonly step: string };
  readonly openings: number;
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
  return state.ovens.map((run) => {
    const wanted = demandsOn(run.oven, state, times);
    const heats = distinctHeats([run.heat, ...wanted.map((demand) => demand.heat)]);
    const level = (heat: OvenHeat): number =>
      Math.max(
        0,
        heats.findIndex((each) => sameHeat(each, heat)),
      );
    return {
      name: clean(run.oven),
      ...standing(run, state, now),
      door: run.door,
      ...(run.lockedUntil && run.lockedUntil.at > now
        ? {
            lock: {
              left: countdown(secondsBetween(now, run.lockedUntil.at)),
              step: lookup.called(run.lockedUntil.step),
            },
          }
        : {}),
      openings: run.earlyOpenings.length,
      levels: heats.map(heatWords),
      asked: askedLine(run, wanted, state, axis, now).map(({ heat, ...columns }) => ({
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

/** What the knob says over time: as it stands now, and before each later demand as much earlier as the timetable has it. */
function askedLine(
  run: OvenRun,
  wanted: readonly Wanted[],
  state: BenchState,
  axis: Axis,
  now: EpochMs,
): { readonly from: number; readonly to: number; readonly heat: OvenHeat }[] {
  const leads = new Map(
    state.timetable.settings.map((setting) => [setting.step, secondsBetween(setting.hotBy, setting.at)]),
  );
  const past = wanted.filter((demand) => demand.stretch.state === 'past');
  const turns: { readonly at: EpochMs; readonly heat: OvenHeat }[] = [];
  for (const { stretch, heat } of past)
    if (stretch.start < run.setAt) turns.push({ at: stretch.start, heat });
  turns.push({ at: run.setAt, heat: run.heat });
  let latest = now;
  for (const { stretch, heat } of wanted) {
    if (stretch.state !== 'ahead') continue;
    const at = plus(stretch.start, leads.get(stretch.step.id) ?? 0);
    // A turn still to come cannot lie in the past, nor before the turn that comes ahead of it.
    latest = at > latest ? at : latest;
    if (!sameHeat(turns.at(-1)?.heat ?? heat, heat)) turns.push({ at: latest, heat });
  }
  return turns.flatMap(({ at, heat }, index) => {
    const end = turns[index + 1]?.at ?? axis.to;
    const from = columnOf(axis, at);
    const to = columnOf(axis, end);
    return to > from ? [{ from, to, heat }] : [];
  });
}

function standing(
  run: OvenRun,
  state: BenchState,
  now: EpochMs,
): Pick<OvenView, 'stands' | 'short' | 'reckoned'> {
  const heat = heatWords(run.heat);
  if (run.heat.kind === 'off') return { stands: 'off', short: 'off', ...reckonedNow(run, state, now) };
  if (run.phase === 'at temperature' || run.readyAt <= now) return { stands: `at ${heat}`, short: heat };
  const timeZone = state.setup.workload.kitchen.timeZone;
  const way = run.phase === 'cooling' ? 'falling' : 'heating';
  return {
    stands: `${way} to ${heat}, right at ${clockWords(run.readyAt, now, timeZone)}`,
    short: `to ${heat}`,
    ...reckonedNow(run, state, now),
  };
}

/** A straight line from where it stood when the knob was turned, at the kitchen's rates. */
function reckonedNow(run: OvenRun, state: BenchState, now: EpochMs): { readonly reckoned?: string } {
  const oven = state.setup.workload.kitchen.ovens.find((each) => each.name === run.oven);
  const goal = run.heat.kind === 'off' ? state.setup.workload.kitchen.ambient : run.heat.temperature.celsius;
  if (!oven || Math.abs(goal - run.from) < 1) return {};
  const passed = Math.max(0, secondsBetween(run.setAt, now)) / 60;
  const reached =
    goal > run.from
      ? Math.min(goal, run.from + oven.heats * passed)
      : Math.max(goal, run.from - oven.cools * passed);
  const scale = run.heat.kind === 'at' ? run.heat.temperature.scale : 'C';
  const figure = Math.round((scale === 'F' ? (reached * 9) / 5 + 32 : reached) / 5) * 5;
  return Number.isFinite(figure) ? { reckoned: `about ${figure} ${scale}` } : {};
}
