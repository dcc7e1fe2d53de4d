import { GRACE_S, type BenchState, type StepRun } from '../bench/index.ts';
import { plus, secondsBetween, type EpochMs, type Seconds } from '../units/index.ts';
import { windowsIn, type Window } from './fast/windows.ts';

/** A window of the plan that was overstepped, and by how much. */
export interface BrokenWindow {
  readonly kind: Window['kind'];
  /** In words: `shells: bake high may wait 10 min after lid`. */
  readonly words: string;
  readonly by: Seconds;
  /** It stands open still, and so it grows. */
  readonly isOpen: boolean;
}

/**
 * The waits, rests and keeping times that were overstepped, as the components stand now (what was lost and made again counts in
 * its latest attempt). Services, doors and cooling rules are told apart from these.
 */
export function brokenWindows(state: BenchState): readonly BrokenWindow[] {
  const runs = state.components.flatMap(({ steps }) => steps);
  return windowsIn(state.setup).flatMap(({ kind, words, rule }): BrokenWindow[] => {
    if (!('from' in rule)) return [];
    const from = moment(runs[rule.from.step], rule.from.end);
    if (from === undefined) return [];
    const ends: readonly (EpochMs | undefined)[] =
      'service' in rule
        ? [state.servings[rule.service]]
        : typeof rule.to.at === 'object'
          ? []
          : rule.to.steps.map((step) => moment(runs[step], 'to' in rule && rule.to.at === 'end'));
    const isOpen = ends.includes(undefined);
    const last = Math.max(...ends.map((end) => end ?? state.time));
    const by = secondsBetween(plus(from, rule.most), last as EpochMs);
    return ends.length > 0 && by > GRACE_S ? [{ kind, words, by, isOpen }] : [];
  });
}

/** When a step began or ended; nothing where it has not. */
function moment(run: StepRun | undefined, isEnd: boolean): EpochMs | undefined {
  if (!run) return undefined;
  if (isEnd) return 'endedAt' in run ? run.endedAt : undefined;
  if (run.state === 'skipped') return run.endedAt;
  return 'startedAt' in run ? run.startedAt : undefined;
}
