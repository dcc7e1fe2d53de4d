import { stageOf, type BenchState, type StepRun } from '../bench/index.ts';
import { visible } from '../plan/index.ts';
import { countdown, secondsBetween, wallClock, type EpochMs, type Seconds } from '../units/index.ts';

/** How a showing went beside what was told: plain data. Seconds; nothing where it was not shown. */
export interface ShowingRecord {
  readonly step: string;
  readonly shows: string;
  readonly toldSeconds: number;
  readonly shownSeconds: number | null;
  readonly leftOut: boolean;
}

/** How a demonstration went on air; nothing where the run is none, or never went on air. */
export interface AirRecord {
  readonly begun: string;
  /** When it was off air; nothing while it is not. */
  readonly ended: string | null;
  readonly lastsSeconds: number;
  readonly showings: readonly ShowingRecord[];
}

interface Aired {
  readonly begun: EpochMs;
  readonly ended?: EpochMs;
  readonly lasts: Seconds;
  readonly showings: readonly ShowingRecord[];
}

function aired(state: BenchState): Aired | undefined {
  const stage = stageOf(state, state.time);
  if (!stage || stage.phase === 'before') return undefined;
  const runs = new Map(state.components.flatMap(({ steps }) => steps).map((run) => [run.step, run]));
  const showings = stage.rundown.showings.map(({ step, action, length }) => ({
    step,
    shows: action,
    toldSeconds: length.usual,
    ...shownFor(runs.get(step)),
  }));
  const about = { lasts: stage.rundown.lasts, showings };
  return stage.phase === 'over'
    ? { ...about, begun: stage.begun, ended: stage.ended }
    : { ...about, begun: stage.onAir.begun };
}

/** The demonstration of a run, for programs. */
export function airRecord(state: BenchState): AirRecord | undefined {
  const record = aired(state);
  if (!record) return undefined;
  const iso = (at: EpochMs): string => new Date(at).toISOString();
  const { begun, ended, lasts, showings } = record;
  return {
    begun: iso(begun),
    ended: ended === undefined ? null : iso(ended),
    lastsSeconds: lasts,
    showings,
  };
}

const shownFor = (run: StepRun | undefined): Pick<ShowingRecord, 'shownSeconds' | 'leftOut'> => ({
  shownSeconds: run?.state === 'ended' ? secondsBetween(run.startedAt, run.endedAt) : null,
  leftOut: run?.state === 'skipped',
});

/** The same in words: how long it was on air, and every showing as it was told and as it was. */
export function airRecordText(state: BenchState): string[] {
  const record = aired(state);
  if (!record) return [];
  const { timeZone } = state.setup.workload.kitchen;
  const clock = (at: EpochMs): string => wallClock(at, timeZone, 'second');
  const figure = (length: number): string => countdown(Math.round(length)).padStart(7);
  const { begun, ended, lasts, showings } = record;
  return [
    ended === undefined
      ? `on air from ${clock(begun)}, not off air yet`
      : `on air ${clock(begun)} to ${clock(ended)}: ${totalWords(secondsBetween(begun, ended), lasts)}`,
    '     told      was',
    ...showings.map(({ shows, toldSeconds, shownSeconds, leftOut }) => {
      const was = leftOut ? 'left out' : shownSeconds === null ? '-' : figure(shownSeconds);
      return `  ${figure(toldSeconds)}  ${was.padStart(8)}  ${visible(shows)}`;
    }),
  ];
}

function totalWords(total: number, lasts: Seconds): string {
  const off = Math.round(total - lasts);
  const how = off === 0 ? 'on time' : `${countdown(Math.abs(off))} ${off > 0 ? 'over' : 'under'}`;
  return `${countdown(Math.round(total))}, ${how}`;
}
