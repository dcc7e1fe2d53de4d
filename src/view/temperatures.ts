import type { BenchState, FeedReport, ProbeState } from '../bench/index.ts';
import { probesAsked, type Step } from '../plan/index.ts';
import { roughly, seconds, secondsBetween, type EpochMs } from '../units/index.ts';
import { aheadWords, clockViews, degrees, faultWords, rulesTitle, type ClockView } from './heat-words.ts';
import { lookupIn } from './lookup.ts';
import { clean } from './text.ts';

/** A probe as a screen shows it. */
export interface ProbeView {
  readonly name: string;
  /** What it is in, where that is not its own name: `shells`, `oven`. */
  readonly inside: string;
  /** What it last read, put right for its own error: `31.2 C`. Nothing where it has not read yet. */
  readonly reads?: string;
  /** How long ago: `20 s ago`. */
  readonly age: string;
  /** Why it is not believed: `silent for 3 min`, `frozen`. */
  readonly fault?: string;
  /** When what is waited for will be reached: `5 C in 40-55 min`; or why that cannot be said. */
  readonly ahead?: string;
  readonly scale: 'C' | 'F';
  /** The readings of the last hour on that scale, the oldest first; `ago` in seconds. */
  readonly curve: readonly { readonly ago: number; readonly figure: number }[];
  /** It was read, and a step that runs waits for it or a cooling clock runs by it: it has a row on the board. */
  readonly watched: boolean;
}

/** Where readings come from, and what became of them. */
export interface FeedView {
  readonly name: string;
  readonly on: boolean;
  /** `on, reads from /run/probes: 1,204 used, 30 left out, 2 refused`. */
  readonly text: string;
}

/** What the page of temperatures shows of a feed. */
function feedViews(feeds: readonly FeedReport[]): FeedView[] {
  const count = (figure: number): string => figure.toLocaleString('en-GB');
  return feeds.map((feed) => ({
    name: clean(feed.feed),
    on: feed.state === 'on',
    text: [
      `${feed.state}${feed.detail === '' ? '' : `, ${clean(feed.detail)}`}: ${count(feed.used)} used`,
      ...(feed.thinned > 0 ? [`${count(feed.thinned)} left out, they came too fast`] : []),
      ...(feed.refused > 0 ? [`${count(feed.refused)} refused`] : []),
    ].join(', '),
  }));
}

/** The probes that steps wait for, in order. */
export const probesIn = (steps: readonly Step[]): readonly string[] => [
  ...new Set(steps.flatMap((step) => probesAsked(step.until))),
];

/** Every probe of a run, in the order of the page: the plan's own, the kitchen's, then others that were read. */
export const probeNames = ({ setup, probes }: BenchState): readonly string[] => {
  const { components, kitchen } = setup.workload;
  return [
    ...new Set([
      ...probesIn(components.flatMap((component) => component.steps)),
      ...components.flatMap(({ name, probe, cooling }) =>
        probe !== undefined ? [probe] : cooling === undefined ? [] : [name],
      ),
      ...(kitchen.probes ?? []).map(({ name }) => name),
      ...probes.map(({ probe }) => probe),
    ]),
  ];
};

/** Everything about temperatures that a screen shows. */
export interface HeatView {
  readonly probes: readonly ProbeView[];
  readonly clocks: readonly ClockView[];
  /** The chosen cooling rules by their title, or that none is chosen; nothing where no cooling is watched. */
  readonly rules?: string;
  readonly feeds: readonly FeedView[];
}

/** What is shown of the past, in seconds. */
const SHOWN_S = 3600;

/** Probes, cooling clocks and feeds at `now`. */
export function heatView(state: BenchState, now: EpochMs): HeatView {
  const clocks = clockViews(state, now);
  const rules = rulesTitle(state, now);
  const read = new Map(state.probes.map((probe) => [probe.probe, probe]));
  return {
    probes: probeNames(state).map((name) => probeView(name, read.get(name), state, clocks, now)),
    clocks,
    ...(rules === undefined ? {} : { rules }),
    feeds: feedViews(state.feeds),
  };
}

function probeView(
  name: string,
  probe: ProbeState | undefined,
  state: BenchState,
  clocks: readonly ClockView[],
  now: EpochMs,
): ProbeView {
  const { workload } = state.setup;
  const lookup = lookupIn(workload);
  const waiting = new Set(
    state.components.flatMap((run) =>
      run.steps.flatMap((step) => (step.state === 'running' ? [step.step] : [])),
    ),
  );
  const steps = workload.components.flatMap((component) => component.steps);
  const asked = steps.filter((step) => probesIn([step]).includes(name));
  const running = asked.find((step) => waiting.has(step.id));
  const own = workload.components.find((each) => (each.probe ?? (each.cooling && each.name)) === name)?.id;
  const component = (running ?? asked[0])?.component ?? own;
  const oven = (workload.kitchen.probes ?? []).find((each) => each.name === name)?.oven;
  const inside = component === undefined ? clean(oven ?? '') : lookup.nameOf(component);
  const scale = probe?.temperature.scale ?? 'C';
  const fault = faultWords(name, state, now);
  const ahead = aheadWords(name, state, now);
  return {
    name: clean(name),
    inside: inside === clean(name) ? '' : inside,
    ...(probe ? { reads: degrees(probe.temperature) } : {}),
    age: probe ? ageWords(secondsBetween(probe.at, now)) : 'not read yet',
    ...(fault === undefined ? {} : { fault }),
    ...(ahead === undefined ? {} : { ahead }),
    scale,
    curve: (probe?.track.samples ?? [])
      .map(({ at, celsius }) => ({
        ago: secondsBetween(at, now),
        figure: scale === 'C' ? celsius : (celsius * 9) / 5 + 32,
      }))
      .filter(({ ago }) => ago >= 0 && ago <= SHOWN_S),
    watched:
      probe !== undefined && (running !== undefined || clocks.some((clock) => clock.probe === clean(name))),
  };
}

/** How old a reading is, no finer than it matters: `20 s ago`, `4 min ago`, `1 h 10 ago`. */
const ageWords = (age: number): string =>
  age < 1
    ? 'now'
    : age < 60
      ? `${Math.floor(age)} s ago`
      : `${roughly(seconds(Math.floor(age / 60) * 60))} ago`;
