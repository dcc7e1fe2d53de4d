import type { RunSetup } from '../bench/index.ts';
import { visible, type Demonstration, type Workload } from '../plan/index.ts';
import { planDemonstration, type Rundown, type StageRequest } from '../planner/index.ts';
import { momentOf, parseClockTime, type EpochMs } from '../units/index.ts';
import { EXIT, Stop } from './exit.ts';
import { Refused } from './refused.ts';

/** What every command that may meet a demonstration takes. */
export interface StageOptions {
  /** False: a plan with a demonstration is taken as one without. */
  readonly stage?: boolean;
  /** Whether there is a helper, whatever the plan says. */
  readonly helper?: boolean;
  /** When it goes on air. */
  readonly serve?: string;
}

/** The demonstration that a workload is about: that of its one plan, unless it is to be left aside. */
export function demonstrationOf(workload: Workload, { stage }: StageOptions): Demonstration | undefined {
  const [plan, ...others] = workload.plans;
  return stage === false || others.length > 0 ? undefined : plan?.demonstration;
}

/**
 * The rundown of a workload's demonstration, verified; nothing where it has none. It ends the command with reasons where there is none.
 * @param notBefore before which nothing may be asked for; the soonest looks at `now` anyway.
 */
export function rundownOf(
  workload: Workload,
  options: StageOptions,
  now: EpochMs,
  notBefore?: EpochMs,
): Rundown | undefined {
  const demonstration = demonstrationOf(workload, options);
  if (!demonstration) return undefined;
  const when = airTime(workload, demonstration, options.serve, now);
  const from = when.kind === 'soonest' ? now : notBefore;
  const asked: StageRequest = { when, ...(from !== undefined && { now: from }) };
  const helper = options.helper ?? demonstration.helper;
  const result = planDemonstration(workload, { ...asked, helper });
  if (result.status === 'solved') return result.rundown;
  const other = helper ? undefined : planDemonstration(workload, { ...asked, helper: true, effort: A_LOOK });
  const reasons = result.status === 'refused' ? result.reasons : undefined;
  throw refusedStage(reasons, other?.status === 'solved' ? ['with a helper it would go: --helper'] : []);
}

/** Counted work for seeing whether another pair of hands would do. */
const A_LOOK = 1_000_000;

/** What a run of a demonstration is of. */
export function setupOf({
  workload,
  timetable,
  ...rundown
}: Rundown): Pick<RunSetup, 'workload' | 'timetable' | 'rundown'> {
  return { workload, timetable, rundown };
}

/** When it goes on air: as the command line says, else as the plan does, else as soon as can be. */
function airTime(
  { kitchen }: Workload,
  { onAir }: Demonstration,
  serve: string | undefined,
  now: EpochMs,
): StageRequest['when'] {
  if (serve === 'soonest' || (serve === undefined && !onAir)) return { kind: 'soonest' };
  if (serve === undefined)
    return onAir ? { kind: 'on air', at: momentOf(onAir, now, kitchen.timeZone) } : { kind: 'soonest' };
  const time = parseClockTime(serve.trim());
  if (!time.ok) throw new Stop(EXIT.usage, `--serve: ${time.problem}`, [`${time.hint}; or "soonest"`]);
  return { kind: 'on air', at: momentOf(time.value, now, kitchen.timeZone) };
}

type Reasons = Extract<ReturnType<typeof planDemonstration>, { readonly status: 'refused' }>['reasons'];

function refusedStage(reasons: Reasons | undefined, help: readonly string[]): Refused {
  const head = reasons
    ? 'the demonstration cannot go as it is told'
    : 'no way to show this was found in the time allowed; there may be one';
  return new Refused(
    {
      refused: head,
      status: reasons ? 'infeasible' : 'unknown',
      reasons: (reasons ?? []).map(({ message, steps, places }) => ({
        message,
        steps,
        places: places.map(({ file, line, column }) => ({ file, line, column })),
      })),
      waysOut: [],
    },
    [
      ...(reasons
        ? reasons.map(({ message }) => `- ${visible(message)}`)
        : ['make it simpler: fewer showings of one thing, or a longer break']),
      ...help,
    ],
  );
}
