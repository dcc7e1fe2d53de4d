import type { Rundown as StageRundown, Showing } from '../../planner/index.ts';
import { secondsBetween } from '../../units/index.ts';
import { iso, sheetJson, type RunSheetJson } from '../json.ts';
import { labelsOf } from './labels.ts';
import { amountsOf, prepOf } from './prep.ts';
import { scriptOf, stateWords } from './script.ts';

/** A demonstration's papers for programs. Moments are ISO 8601 in UTC, lengths whole seconds. */
export interface StageJson {
  /** Goes up when a field changes its meaning or goes away. */
  readonly version: 1;
  readonly title: string;
  readonly begins: string;
  readonly ends: string;
  readonly lasts: number;
  readonly within: number;
  readonly helper: boolean;
  /** False: there may be a way with fewer swaps, or less work before, that was not tried. */
  readonly proven: boolean;
  readonly ovens: { readonly onStage: readonly string[]; readonly behind: readonly string[] };
  readonly showings: readonly ShowingJson[];
  /** Everything that happens on air, in words, as the rundown has it. */
  readonly script: readonly {
    readonly kind: string;
    readonly at: string;
    readonly end: string;
    readonly what: string;
    readonly details: readonly { readonly name: string; readonly words: string }[];
  }[];
  readonly swaps: readonly SwapJson[];
  readonly labels: readonly {
    readonly swap: string;
    readonly copy: number;
    readonly copies: number;
    readonly backup: boolean;
  }[];
  readonly amounts: readonly {
    readonly title: string;
    readonly times: number;
    readonly uses: readonly string[];
  }[];
  /** The work off stage, as a run sheet whose service is going on air. */
  readonly prep: RunSheetJson;
}

export interface ShowingJson {
  readonly kind: 'step' | 'talk' | 'break' | 'beauty';
  /** The step of the derived workload that it is. */
  readonly id: string;
  /** The plan's step and how much of it; null for what is no step. */
  readonly step: string | null;
  readonly part: 'whole' | 'first' | 'last' | null;
  readonly action: string;
  readonly at: string;
  readonly end: string;
  /** How long after going on air it begins. */
  readonly onAir: number;
  readonly shortest: number;
  readonly longest: number;
  readonly decides: 'presenter' | 'nature';
  readonly ends: 'press' | 'clock';
  readonly say: string | null;
  readonly from: Showing['from'];
}

export interface SwapJson {
  readonly id: string;
  readonly component: string;
  readonly title: string;
  /** `after chill`, `in bake, 30 s before its end`. */
  readonly state: string;
  readonly use: 'shown' | 'needed' | 'beauty';
  /** The showing, or the step off view, that takes it, and when. */
  readonly for: string;
  readonly at: string;
  readonly copies: number;
  readonly backups: number;
  readonly factor: number;
  readonly starts: string;
  readonly ready: string;
  readonly usableFrom: string;
  /** Null where it keeps. */
  readonly useBy: string | null;
  /** How many seconds before it is wanted it is right if all that makes it takes its longest; negative: it is late. */
  readonly slack: number | null;
  readonly waits: readonly { readonly where: string; readonly from: string; readonly until: string }[];
}

/** All papers of a demonstration as plain data with a stable form. */
export function stageJson(rundown: StageRundown): StageJson {
  const { title, begins, ends, lasts, within, helper, proven, ovens } = rundown;
  return {
    version: 1,
    title,
    begins: iso(begins),
    ends: iso(ends),
    lasts,
    within,
    helper,
    proven,
    ovens,
    showings: rundown.showings.map((showing) => showingJson(rundown, showing)),
    script: scriptOf(rundown).rows.map((row) => ({ ...row, at: iso(row.at), end: iso(row.end) })),
    swaps: rundown.swaps.map((swap) => ({
      id: swap.id,
      component: swap.component,
      title: swap.title,
      state: stateWords(swap),
      use: swap.use,
      for: swap.for,
      at: iso(swap.at),
      copies: swap.copies,
      backups: swap.backups,
      factor: swap.factor,
      starts: iso(swap.starts),
      ready: iso(swap.ready),
      usableFrom: iso(swap.usableFrom),
      useBy: swap.useBy === undefined ? null : iso(swap.useBy),
      slack: swap.slack ?? null,
      waits: swap.waits.map(({ where, from, until }) => ({ where, from: iso(from), until: iso(until) })),
    })),
    labels: labelsOf(rundown).map(({ swap, copy, copies, backup }) => ({ swap, copy, copies, backup })),
    amounts: amountsOf(rundown),
    prep: sheetJson(prepOf(rundown)),
  };
}

const showingJson = ({ begins }: StageRundown, showing: Showing): ShowingJson => ({
  kind: showing.shows.kind,
  id: showing.step,
  step: showing.shows.kind === 'step' ? showing.shows.step : null,
  part: showing.shows.kind === 'step' ? showing.shows.part : null,
  action: showing.action,
  at: iso(showing.start),
  end: iso(showing.end),
  onAir: secondsBetween(begins, showing.start),
  shortest: showing.shortest,
  longest: showing.longest,
  decides: showing.decides,
  ends: showing.ends,
  say: showing.say ?? null,
  from: showing.from,
});
