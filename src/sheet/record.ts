import { coolingViewOf, lostCooling, type BenchState, type ComponentCooling } from '../bench/index.ts';
import type { CoolingClockView } from '../bench/index.ts';
import { corrected, hearProbe, usualProbe, type ProbeTrack, type Sample } from '../heat/index.ts';
import { roughly, secondsBetween, seconds, wallClock, type EpochMs } from '../units/index.ts';

/** What is printed with every verdict of a cooling rule. */
const CAUTION =
  'A reading meets a figure of the rule or does not, and that is all this says. A probe may be off by 1 C. Your local food code, your own food-safety plan and a trained person decide.';

/** The cooling of a run, held to the chosen rules: plain data for `record --json`. Temperatures in C, moments in ISO 8601. */
export interface CoolingRecord {
  /** The chosen set, or nothing: then there are readings and no verdicts. */
  readonly rules: {
    readonly name: string;
    readonly title: string;
    readonly place: string;
    readonly source: string;
    readonly confidence: string;
    readonly coldC: number | null;
    readonly hotC: number | null;
  } | null;
  readonly components: readonly CoolingRecordComponent[];
  readonly caution: string;
}

export interface CoolingRecordComponent {
  readonly component: string;
  readonly attempt: number;
  readonly lost: boolean;
  readonly probe: string;
  readonly since: string;
  /** The step with whose end (or, for food that was never hot, start) the cooling began; nothing where a reading began it. */
  readonly begunBy: string | null;
  readonly clocks: readonly CoolingRecordClock[];
  readonly outOfCold: {
    readonly seconds: number;
    readonly limits: readonly { readonly seconds: number; readonly over: boolean; readonly says: string }[];
  } | null;
  /** Believed readings while it cooled, corrected for the probe's own error; thinned to {@link MOST_READINGS}. */
  readonly readings: readonly RecordReading[];
}

export interface CoolingRecordClock {
  readonly rule: string;
  readonly toC: number;
  readonly withinSeconds: number;
  /** met: a reading in time was as cold. not met: the time ran out without one. open: it was used or served, or the record ends, before. */
  readonly figure: 'met' | 'not met' | 'open' | 'not started';
  readonly startedAt: string | null;
  /** Whether a reading dates its start, or only the step (or the end of the stage) before it. */
  readonly startedBy: 'reading' | 'step' | null;
  readonly startReading: RecordReading | null;
  readonly limitAt: string | null;
  /** The first reading that was as cold, in time or late. */
  readonly reading: RecordReading | null;
}

export interface RecordReading {
  readonly at: string;
  readonly celsius: number;
}

/** No record needs more points of a curve. */
const MOST_READINGS = 60;

/** What a run's readings say of the chosen cooling rules; nothing where no component's cooling was watched or has begun. */
export function coolingRecord(state: BenchState): CoolingRecord | undefined {
  const { present, lost, rules } = coolingIn(state);
  if (present.length + lost.length === 0) return undefined;
  const read = (each: ComponentCooling, isLost: boolean): CoolingRecordComponent => ({
    component: each.name,
    attempt: each.attempt,
    lost: isLost,
    probe: each.probe,
    since: iso(each.since),
    begunBy: each.begunBy ?? null,
    clocks: each.clocks.map(clockRecord),
    outOfCold: each.out
      ? {
          seconds: each.out.total,
          limits: each.out.limits.map(({ after, left, says }) => ({ seconds: after, over: left <= 0, says })),
        }
      : null,
    readings: thinned(readingsOf(state, each), MOST_READINGS).map(readingRecord),
  });
  return {
    rules: rules
      ? {
          name: rules.name,
          title: rules.title,
          place: rules.place,
          source: rules.source,
          confidence: rules.confidence,
          coldC: rules.cold ?? null,
          hotC: rules.hot ?? null,
        }
      : null,
    components: [...lost.map((each) => read(each, true)), ...present.map((each) => read(each, false))],
    caution: CAUTION,
  };
}

/** The same as lines for people; none where no component's cooling was watched or has begun. */
export function coolingRecordText(state: BenchState): readonly string[] {
  const { present, lost, rules } = coolingIn(state);
  if (present.length + lost.length === 0) return [];
  const head = rules
    ? `cooling, by ${rules.title} (${rules.place}; ${rules.source})`
    : 'cooling, as measured (no rules are chosen, so nothing is held to any)';
  const weak = rules?.confidence === 'weak' ? ['  these figures are from a weak source: look them up'] : [];
  return [
    head,
    ...weak,
    ...lost.flatMap((each) => componentLines(state, each, true)),
    ...present.flatMap((each) => componentLines(state, each, false)),
    `  ${CAUTION}`,
  ];
}

function coolingIn(state: BenchState) {
  const { rules, components: present } = coolingViewOf(state, state.servedAt ?? state.time);
  return { rules, present, lost: lostCooling(state) };
}

const iso = (at: EpochMs): string => new Date(at).toISOString();
const round = (value: number): number => Math.round(value * 10) / 10;
const readingRecord = ({ at, celsius }: Sample): RecordReading => ({ at: iso(at), celsius: round(celsius) });

const FIGURES = { met: 'met', passed: 'not met', running: 'open', 'not started': 'not started' } as const;

function clockRecord(clock: CoolingClockView): CoolingRecordClock {
  const { words, to, within, state, startedAt, startedWith, isAssumed, by, met } = clock;
  return {
    rule: words,
    toC: to,
    withinSeconds: within,
    figure: FIGURES[state],
    startedAt: startedAt === undefined ? null : iso(startedAt),
    startedBy: startedAt === undefined ? null : isAssumed || !startedWith ? 'step' : 'reading',
    startReading: startedWith ? readingRecord(startedWith) : null,
    limitAt: by === undefined ? null : iso(by),
    reading: met ? readingRecord(met) : null,
  };
}

/** The believed readings of a component's probe while it cooled, corrected, in order. */
function readingsOf(state: BenchState, { probe, since, usedUpAt }: ComponentCooling): readonly Sample[] {
  const { kitchen } = state.setup.workload;
  const spec = kitchen.probes?.find(({ name }) => name === probe) ?? usualProbe(probe);
  let track: ProbeTrack | undefined;
  const readings: Sample[] = [];
  for (const event of state.history) {
    if (event.kind !== 'reading' || event.probe !== probe) continue;
    const sample = { at: event.time, celsius: corrected(spec, event.temperature.celsius, kitchen.altitude) };
    const heard = hearProbe(track, spec, sample, event.source === 'cook');
    track = heard.track;
    const isIn = event.time >= since && (usedUpAt === undefined || event.time <= usedUpAt);
    if (heard.believed && isIn) readings.push(sample);
  }
  return readings;
}

/** At most so many, evenly over their time of coming, the first and the last among them. */
function thinned<T>(all: readonly T[], most: number): readonly T[] {
  if (all.length <= most) return all;
  const step = (all.length - 1) / (most - 1);
  return Array.from({ length: most }, (_, index) => all[Math.round(index * step)]).flatMap((each) =>
    each === undefined ? [] : [each],
  );
}

/** So many readings tell a curve on a line or two. */
const LINE_READINGS = 8;

function componentLines(state: BenchState, each: ComponentCooling, isLost: boolean): readonly string[] {
  const zone = state.setup.workload.kitchen.timeZone;
  const clock = (moment: EpochMs): string => wallClock(moment, zone);
  const { steps } = state.setup.workload.components.find(({ id }) => id === each.component) ?? { steps: [] };
  const begun = steps.find(({ id }) => id === each.begunBy);
  const attempt = each.attempt > 1 || isLost ? `, attempt ${each.attempt}` : '';
  const from = begun ? `, with ${begun.name}` : '';
  const shown = thinned(readingsOf(state, each), LINE_READINGS);
  const width = Math.max(0, ...each.clocks.map(({ words }) => words.length));
  return [
    `  ${each.name}${attempt}${isLost ? ', lost' : ''} (probe ${each.probe}), since ${clock(each.since)}${from}`,
    ...each.clocks.map(
      (one) => `    ${one.words.padEnd(width)}  ${verdict(one, clock, begun?.name, each.reading)}`,
    ),
    ...(each.out ? [`    out of the cold ${roughly(seconds(Math.round(each.out.total)))} in all`] : []),
    ...(each.out?.limits ?? [])
      .filter(({ left }) => left <= 0)
      .map(({ after, says }) => `    over ${roughly(after)}: ${says}`),
    shown.length === 0
      ? '    nothing was read'
      : `    read ${shown.map(({ at, celsius }) => `${round(celsius)} C at ${clock(at)}`).join(', ')}`,
  ];
}

/** Which figure a reading meets or does not, and from what the clock is reckoned. */
function verdict(
  { state, to, startedAt, startedWith, isAssumed, by, met }: CoolingClockView,
  clock: (moment: EpochMs) => string,
  begunBy: string | undefined,
  last: Sample | undefined,
): string {
  if (startedAt === undefined || by === undefined) return 'not started: nothing read says that it began';
  const from = isAssumed
    ? `from ${clock(startedAt)}, which is assumed${begunBy === undefined ? '' : ` (${begunBy})`}`
    : `from ${clock(startedAt)}${startedWith ? ` (${round(startedWith.celsius)} C)` : ''}`;
  switch (state) {
    case 'met':
      return `met: ${met ? `${round(met.celsius)} C read at ${clock(met.at)}, ${roughly(secondsBetween(startedAt, met.at))} after its start` : ''}; ${from}`;
    case 'passed':
      return `not met by ${clock(by)}: ${late(to, clock, met, last)}; ${from}`;
    default:
      return `open until ${clock(by)}: ${late(to, clock, met, last)}; ${from}`;
  }
}

function late(
  to: number,
  clock: (moment: EpochMs) => string,
  met: Sample | undefined,
  last: Sample | undefined,
): string {
  if (met) return `${round(met.celsius)} C only at ${clock(met.at)}`;
  return last
    ? `no reading at or below ${to} C, the last ${round(last.celsius)} C at ${clock(last.at)}`
    : 'nothing was read';
}
