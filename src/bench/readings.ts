import { corrected, hearProbe, usualProbe, type Heard } from '../heat/index.ts';
import type { Probe, Workload } from '../plan/index.ts';
import { formatTemperature, temperatureOf, type Celsius, type Temperature } from '../units/index.ts';
import { acted, refused, type Acted } from './acted.ts';
import { coolingAfter } from './cooling.ts';
import type { BenchEvent } from './events.ts';
import { lookup, must } from './lookup.ts';
import { ovenHears } from './oven-readings.ts';
import type { BenchState, ProbeState } from './state.ts';
import { toComponent } from './to-component.ts';
import { probesIn, readGoals, type LastReading } from './triggers.ts';

type ReadingEvent = Extract<BenchEvent, { kind: 'reading' }>;

/** What every probe last read that was believed. */
export const lastReadings = (state: BenchState): readonly LastReading[] =>
  state.probes.flatMap(({ probe, temperature, at, track }) =>
    track.samples.length === 0
      ? []
      : [{ probe, celsius: temperature.celsius, at, stale: probeCalled(state.setup.workload, probe).stale }],
  );

/** What is believed of a probe: what the kitchen says of it, or the usual. */
export const probeCalled = ({ kitchen }: Workload, name: string): Probe =>
  kitchen.probes?.find((probe) => probe.name === name) ?? usualProbe(name);

const wanted = new WeakMap<Workload, ReadonlySet<string>>();

/** The probes that the plans and the kitchen name. */
function probesNamed(workload: Workload): ReadonlySet<string> {
  const known = wanted.get(workload);
  if (known) return known;
  const made = new Set([
    ...workload.components.flatMap((component) => [
      ...component.steps.flatMap((step) => readGoals(step.until).flatMap(probesIn)),
      ...(component.probe === undefined ? [] : [component.probe]),
      ...(component.cooling ? [component.name] : []),
    ]),
    ...(workload.kitchen.probes ?? []).map((probe) => probe.name),
  ]);
  wanted.set(workload, made);
  return made;
}

/** Probes that nobody names are shown too, but not without end. */
const OTHER_PROBES = 20;

/**
 * Takes a reading in. It is corrected for the probe's own error, and judged: one that cannot be believed is remembered as a
 * fault of the probe and does nothing else. A believed one goes to the steps that wait for it, to the ovens and to the
 * cooling clocks.
 */
export function read(state: BenchState, event: ReadingEvent): Acted {
  const named = probesNamed(state.setup.workload);
  const others = state.probes.filter(({ probe }) => !named.has(probe));
  const isNew = !named.has(event.probe) && !others.some(({ probe }) => probe === event.probe);
  if (isNew && others.length >= OTHER_PROBES)
    return refused(`there are ${OTHER_PROBES} probes already that nobody asks for`);
  const { kitchen } = state.setup.workload;
  const probe = probeCalled(state.setup.workload, event.probe);
  const celsius = corrected(probe, event.temperature.celsius, kitchen.altitude);
  const old = state.probes.find((each) => each.probe === event.probe);
  const deliberate = event.source === 'cook';
  const heard = hearProbe(old?.track, probe, { at: event.time, celsius }, deliberate);
  const temperature = shown(event.temperature, celsius);
  const noted = told(state, event, heard, temperature);
  const next = { ...noted, probes: withProbe(state, event, heard, temperature, old) };
  if (!heard.believed) return acted(next);
  return acted(believed(next, event, celsius, deliberate));
}

/** The corrected figure in the scale it came in, to a hundredth; untouched where there is nothing to correct. */
function shown(given: Temperature, celsius: Celsius): Temperature {
  if (celsius === given.celsius) return given;
  const figure = given.scale === 'C' ? celsius : (celsius * 9) / 5 + 32;
  return temperatureOf(Math.round(figure * 100) / 100, given.scale);
}

function withProbe(
  { probes }: BenchState,
  { probe, time }: ReadingEvent,
  { track, believed: counts }: Heard,
  temperature: Temperature,
  old: ProbeState | undefined,
): readonly ProbeState[] {
  const next: ProbeState = counts || !old ? { probe, temperature, at: time, track } : { ...old, track };
  return old ? probes.map((each) => (each === old ? next : each)) : [...probes, next];
}

const FAULT_WORDS = {
  'out of range': 'which is outside what this probe can read',
  jumping: 'which is too sudden to be believed',
  frozen: 'and stands still although it was moving',
  silent: 'and was silent',
} as const;

/** A probe that comes and goes is told of once in so long, ms. */
const TOLD_AGAIN_MS = 600_000;

/** Whether it was told lately that a probe is doubted. */
function wasDoubted({ log }: BenchState, { probe, time }: ReadingEvent): boolean {
  const latest = log.findLast(({ text }) => text.startsWith(`${probe} reads `) && text.endsWith(NO_COUNT));
  return latest !== undefined && time - latest.at < TOLD_AGAIN_MS;
}

/** What every line about a doubted reading ends with. */
const NO_COUNT = 'it does not count';

/** A person's reading is told, and of a probe that it is doubted. */
function told(
  state: BenchState,
  event: ReadingEvent,
  { track }: Heard,
  temperature: Temperature,
): BenchState {
  const reads = `${event.probe} reads ${formatTemperature(temperature)}`;
  const old = state.probes.find((each) => each.probe === event.probe)?.track.fault?.kind;
  const fault = track.fault?.kind;
  const text =
    fault !== undefined && fault !== old
      ? `${reads}, ${FAULT_WORDS[fault]}: ${NO_COUNT}`
      : event.source === 'cook'
        ? reads
        : undefined;
  if (text === undefined || (event.source !== 'cook' && wasDoubted(state, event))) return state;
  return { ...state, log: [...state.log, { at: event.time, kind: 'note', text }] };
}

function believed(state: BenchState, event: ReadingEvent, celsius: Celsius, deliberate: boolean): BenchState {
  const { workload } = state.setup;
  const sample = { at: event.time, celsius };
  let next = state;
  for (const component of workload.components) {
    const going = next.components
      .find((run) => run.component === component.id)
      ?.steps.find((run) => run.state === 'running');
    const placed = going && must(lookup(workload).placed, going.step);
    if (!placed || !readGoals(placed.step.until).some((part) => probesIn(part).includes(event.probe)))
      continue;
    const reading = {
      type: 'READING',
      probe: event.probe,
      ...sample,
      deliberate,
      stale: probeCalled(workload, event.probe).stale,
      all: lastReadings(next),
      ...(workload.kitchen.altitude === undefined ? {} : { altitude: workload.kitchen.altitude }),
    } as const;
    next = toComponent(next, placed, reading, event.time);
  }
  next = ovenHears(next, { probe: event.probe, ...sample, deliberate });
  return { ...next, cooling: coolingAfter(next, event.probe, sample) };
}
