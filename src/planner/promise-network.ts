import type { Step, StepId, Workload } from '../plan/index.ts';
import { epochMs, type EpochMs } from '../units/index.ts';
import { calendarOf } from './calendar.ts';
import { endOf, startOf, type Point } from './core/index.ts';
import { extract, type Extraction, type Turn } from './extract.ts';
import { PromiseDraft } from './promise-draft.ts';
import { drawKnobs } from './promise-ovens.ts';
import { drawOrder } from './promise-turns.ts';
import type { Progress } from './progress.ts';
import type { Rule } from './rules.ts';
import type { UncertainNetwork } from './stnu/index.ts';
import type { OvenSetting, Timetable } from './timetable.ts';
import { scheduleOf } from './timetable-of.ts';

/** Why a link of the network is there. */
export type Origin =
  | { readonly kind: 'rule'; readonly rule: Rule }
  /** Two want the same, and the timetable gives it to one before the other. */
  | {
      readonly kind: 'order';
      readonly what: string;
      readonly before: Step;
      readonly step: Step;
      /** Whole turns that the two could take instead. */
      readonly instead: readonly Turn[];
    }
  /** A service comes so long after work begins. */
  | { readonly kind: 'served'; readonly plan: number }
  | { readonly kind: 'hours'; readonly step: Step; readonly edge: 'opening' | 'closing' }
  /** A knob is turned when what was in the oven before is out, and a load goes in when the oven is right. */
  | { readonly kind: 'knob'; readonly oven: string; readonly step: Step };

/** What nature decides: how long a step takes, or how long an oven takes until it is right for a step. */
export type Uncertain =
  | { readonly kind: 'step'; readonly step: Step }
  | { readonly kind: 'oven'; readonly step: Step; readonly oven: string };

/** A plan with its ranges, in the order of a timetable, as a network with uncertainty. Times are seconds from `begin`. */
export interface PromiseNetwork {
  readonly network: UncertainNetwork;
  /** By the links of the network. */
  readonly origins: readonly Origin[];
  /** By its contingent links. */
  readonly uncertain: readonly Uncertain[];
  readonly begin: EpochMs;
  /** The point at which each step is called. What has come already has none. */
  readonly starts: ReadonlyMap<StepId, number>;
  /** The point at which each step is over. A rest that ends with what takes it has no point of its own and is left out. */
  readonly ends: ReadonlyMap<StepId, number>;
  readonly knobs: readonly Knob[];
}

/** A knob that is turned ahead of a load: the points at which that is called, where that is still to come, and at which the oven is right. */
export interface Knob {
  readonly setting: OvenSetting;
  readonly turned?: number;
  readonly right: number;
}

/** What of a run has come already. */
export interface Known {
  /** Points of the problem that have come, and when, in its seconds. */
  readonly points: ReadonlyMap<Point, number>;
  /** Plans that have been served. */
  readonly served: readonly number[];
}

/**
 * Writes a plan down as a simple temporal network with uncertainty. What nature decides is contingent: the length of each step
 * that is no rest, and how long an oven takes. What the cook decides is a point of its own: when a step is called, when a
 * rest ends, when a knob is turned. Service is to be met; the margin before it is there to be used up.
 *
 * @param begin when work may begin, or now; whole seconds.
 * @param answer how long an answer to a call may take, and the word that something is over; whole seconds.
 * @param progress how far the run has come by now: what has come stands still, and what follows from it is asked.
 */
export function promiseNetwork(
  workload: Workload,
  timetable: Timetable,
  answer: number,
  begin: EpochMs,
  progress?: Progress,
): PromiseNetwork {
  const base = epochMs(Math.floor(Math.max(...timetable.service) / 1000) * 1000);
  const services = timetable.service.map((moment) => Math.floor((moment - base) / 1000));
  const extraction = extracted(workload, base, services);
  const schedule = scheduleOf(workload, extraction, timetable, base, extraction.problem.activities);
  const known = knownIn(extraction, base, progress);
  const draft = new PromiseDraft([workload, extraction, schedule], answer, (begin - base) / 1000, known);
  draft.drawLengths();
  draft.drawRules();
  draft.drawFrame(services);
  const { knobs, ahead } = drawKnobs(draft, timetable, progress);
  drawOrder(draft, timetable, ahead);
  return { ...draft.made(), begin, knobs };
}

function knownIn({ steps }: Extraction, base: EpochMs, progress?: Progress): Known {
  const points = new Map<Point, number>();
  const time = (moment: EpochMs): number => Math.floor((moment - base) / 1000);
  steps.forEach(({ id }, activity) => {
    const standing = progress?.steps[id];
    if (!standing || standing.kind === 'open') return;
    points.set(startOf(activity), time(standing.start));
    if (standing.kind === 'ended') points.set(endOf(activity), time(standing.end));
  });
  return { points, served: progress?.served ?? [] };
}

/** The last one of each workload: on the way it is asked for again each time a step is over, and service seldom moves. */
const extractions = new WeakMap<Workload, { readonly of: string; readonly extraction: Extraction }>();

function extracted(workload: Workload, base: EpochMs, services: readonly number[]): Extraction {
  const of = [base, ...services].join(' ');
  const known = extractions.get(workload);
  if (known?.of === of) return known.extraction;
  const apart = Math.max(...services) - Math.min(...services);
  const calendar = calendarOf(workload, base, 'before', apart);
  const extraction = extract(workload, {
    services,
    margins: 'drop',
    prefer: [],
    upTo: 'fresh',
    beginNotBefore: calendar.begin,
    calendar,
  });
  extractions.set(workload, { of, extraction });
  return extraction;
}
