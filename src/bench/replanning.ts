import type { ReplanResult, Timetable } from '../planner/index.ts';
import { plus, secondsBetween, wallClock, type EpochMs, type Seconds } from '../units/index.ts';
import type { Acted } from './acted.ts';
import { expectedCourse, type Course } from './course.ts';
import type { BenchEvent, Happening, Offer } from './events.ts';
import { lookup, must, nameIn, planned, runsOf } from './lookup.ts';
import { airStep, firstShowing } from './showings.ts';
import { situationsAt, type Outlook } from './situations.ts';
import type { BenchState, LogLine, Proposal, Replanning, Situation } from './state.ts';
import { watchAt, type Watch } from './watch.ts';

/** A step that began this far from when the new timetable has it (s) leaves it as good as it was. */
const NEAR_S = 120;
/** One that is so much later than the new timetable has it (s), or ended so much otherwise, does not. */
const GRACE_S = 300;

/**
 * The situation for which a new timetable should be worked out now: the gravest that stands and was not answered. One
 * situation asks once while one timetable is told. Nothing while an offer that answers it stands.
 */
export function wantsReplan({ replanning }: BenchState): Situation | undefined {
  const { situations, answered, proposal } = replanning;
  return situations.find(({ key }) => !answered.includes(key) && proposal?.answers.includes(key) !== true);
}

/** A refusal that names half the kitchen is cut. */
const LONGEST_WHY = 1000;

/** What the planner's answer means to the run: the event to make of it. */
export function happeningOf({ key }: Situation, result: ReplanResult): Happening {
  switch (result.kind) {
    case 'proposal': {
      const { kind: _, ...offer } = result;
      return { kind: 'proposed', because: key, ...offer };
    }
    case 'as told':
      return { kind: 'not proposed', because: key, outcome: 'as told', why: '' };
    case 'unknown':
      return { kind: 'not proposed', because: key, outcome: 'unknown', why: '' };
    case 'none': {
      const why = (result.reasons[0]?.message ?? '').slice(0, LONGEST_WHY);
      return { kind: 'not proposed', because: key, outcome: 'none', why };
    }
  }
}

const refused = (why: string): Acted => ({ ok: false, why });

/** With what a new look at the bench means for new timetables; a line for people where an offer goes by itself. */
export function lookOver(
  state: BenchState,
  outlook: Outlook,
  watch: Watch,
): { readonly replanning: Replanning; readonly lines: readonly LogLine[] } {
  const { proposal, justTaken, ...kept } = state.replanning;
  const situations = situationsAt(state, outlook);
  if (justTaken)
    return {
      replanning: { ...kept, situations, answered: situations.map(({ key }) => key) },
      lines: [],
    };
  if (!proposal) return { replanning: { ...kept, situations }, lines: [] };
  const standing = new Set(situations.map(({ key }) => key));
  const why = proposal.answers.some((key) => standing.has(key))
    ? outdated(state, proposal, outlook.course, watch)
    : 'it is no longer needed';
  if (why === undefined) return { replanning: { ...kept, situations, proposal }, lines: [] };
  const text = `the new timetable is withdrawn: ${why}`;
  return { replanning: { ...kept, situations }, lines: [{ at: watch.now, kind: 'note', text }] };
}

/**
 * Why what has happened since no longer fits a proposed timetable; nothing where it does. Reality need not follow it to the
 * second: what is taken is told from then on, and the bench goes by what truly happened.
 */
function outdated(
  state: BenchState,
  { timetable, attempts }: Pick<Proposal, 'timetable' | 'attempts'>,
  course: Course,
  watch: Watch,
): string | undefined {
  const { placed } = lookup(state.setup.workload);
  const named = (step: Proposal['timetable']['steps'][number]['step']): string => {
    const here = must(placed, step);
    return `${here.name}: ${here.step.name}`;
  };
  const lost = state.components.find((run, index) => run.attempt !== attempts[index]);
  if (lost) return `${nameIn(state.setup.workload, lost.component)} was lost`;
  const apart = (a: EpochMs, b: EpochMs): Seconds => Math.abs(secondsBetween(a, b)) as Seconds;
  for (const { step, start, end } of timetable.steps) {
    const run = must(runsOf(state), step);
    switch (run.state) {
      case 'waiting':
        if (watch.reached(plus(start, GRACE_S)))
          return `${named(step)} was to begin at ${clock(state, start)}`;
        break;
      case 'running':
        if (apart(run.startedAt, start) > NEAR_S) return `${named(step)} began at another time`;
        if (secondsBetween(end, course.endOf(step)) > GRACE_S && !isRest(state, step))
          return `${named(step)} takes longer`;
        break;
      case 'ended':
        if (apart(run.startedAt, start) > NEAR_S) return `${named(step)} began at another time`;
        if (apart(run.endedAt, end) > GRACE_S) return `${named(step)} ended at another time`;
        break;
      case 'skipped':
        if (apart(start, end) > NEAR_S) return `${named(step)} was left out`;
        break;
    }
  }
  return undefined;
}

const isRest = (state: BenchState, step: Proposal['timetable']['steps'][number]['step']): boolean =>
  must(lookup(state.setup.workload).placed, step).step.length.kind === 'rest';

const clock = (state: BenchState, moment: EpochMs): string =>
  wallClock(moment, state.setup.workload.kitchen.timeZone);

/** Whether a timetable is one for this workload, so that the bench can reckon with it. Its rules are the verifier's to ask. */
function isTimetableFor(state: BenchState, timetable: Offer['timetable']): boolean {
  const { workload } = state.setup;
  const steps = new Set(timetable.steps.map(({ step }) => step));
  const { placed, ovens } = lookup(workload);
  return (
    timetable.service.length === workload.plans.length &&
    steps.size === placed.size &&
    timetable.steps.length === placed.size &&
    timetable.steps.every(({ step, start, end, oven }) => {
      const wanted = placed.get(step)?.step.oven;
      return (
        placed.has(step) &&
        start <= end &&
        (wanted ? oven !== undefined && ovens.has(oven) : oven === undefined)
      );
    }) &&
    // A knob is turned for a step that goes into that very oven, or the reckoning would go in circles.
    timetable.settings.every(({ step, oven, at, hotBy }) => {
      // For what is in there already, a knob can only be put right after it went in.
      const inTime = at <= hotBy || runsOf(state).get(step)?.state !== 'waiting';
      return inTime && timetable.steps.some((planned) => planned.step === step && planned.oven === oven);
    })
  );
}

const noted = (state: BenchState, at: EpochMs, text: string): BenchState => ({
  ...state,
  log: [...state.log, { at, kind: 'note', text }],
});

/** Why a timetable cannot be told from now on: it is none for this workload, or what has happened no longer fits it. */
export function misfit(state: BenchState, timetable: Timetable, now: EpochMs): string | undefined {
  if (!isTimetableFor(state, timetable)) return 'that timetable is not one for this plan';
  const watch = watchAt(now);
  const attempts = state.components.map((run) => run.attempt);
  const why = outdated(state, { timetable, attempts }, expectedCourse(state, watch), watch);
  return why === undefined ? undefined : `the new timetable comes too late: ${why}`;
}

/** A new timetable counts only if it is one for this workload. */
export function takeTimetable(
  state: BenchState,
  { timetable, time }: { readonly timetable: Timetable; readonly time: EpochMs },
): Acted {
  if (!isTimetableFor(state, timetable)) return refused('that timetable is not one for this plan');
  // What was seen ahead was ahead of the one before.
  const { forecast: _, ...rest } = state;
  const taken: BenchState = {
    ...rest,
    timetable,
    replanning: { situations: [], answered: [], justTaken: true },
  };
  return { ok: true, state: noted(taken, time, 'a new timetable for what is to come') };
}

/** The cook asks for a new timetable. */
export function askForTimetable(state: BenchState, event: BenchEvent): Acted {
  if (state.replanning.proposal) return refused('a new timetable waits for your answer already');
  return { ok: true, state: { ...state, replanning: { ...state.replanning, asked: `asked ${event.id}` } } };
}

/** An offer stands if it answers a situation that stands, and fits what has happened since it was asked for. */
export function offer(state: BenchState, event: Extract<BenchEvent, { kind: 'proposed' }>): Acted {
  const { because, timetable, changes, serviceMoved, broken, time, id } = event;
  const { situations, proposal: _, ...kept } = state.replanning;
  const situation = situations.find(({ key }) => key === because);
  if (!situation) return refused('what the new timetable was for is over');
  const why = misfit(state, timetable, time);
  if (why !== undefined) return refused(why);
  if (breaksAir(state, event)) return refused('the audience would have to wait');
  if (serviceMoved.some(({ plan }) => timetable.service[plan] === undefined))
    return refused('it moves the service of a plan that is not there');
  const proposal: Proposal = {
    id,
    madeAt: time,
    reason: situation.reason,
    answers: situations.map(({ key }) => key),
    attempts: state.components.map((run) => run.attempt),
    timetable,
    changes,
    serviceMoved,
    broken,
    others: (event.others ?? []).filter((other) => !breaksAir(state, other)),
  };
  const how = airWords(state, timetable) ?? serviceWords(state, serviceMoved);
  const next = { ...state, replanning: { ...kept, situations, proposal } };
  const line = { at: time, kind: 'offer', text: `a new timetable is offered: ${how}` } as const;
  return { ok: true, state: { ...next, log: [...next.log, line] } };
}

/** Of a demonstration: when it would go on air. */
function airWords(state: BenchState, timetable: Offer['timetable']): string | undefined {
  const first = firstShowing(state)?.step;
  if (first === undefined) return undefined;
  const startIn = (each: Offer['timetable']): EpochMs => must(planned(each).steps, first).start;
  const [from, to] = [startIn(state.timetable), startIn(timetable)];
  return from === to
    ? 'it goes on air at its time'
    : `on air would be ${clock(state, to)} instead of ${clock(state, from)}`;
}

/** Whether an audience would have to wait: the time on air is as long as it is, and follows the places at once. */
function breaksAir(state: BenchState, { broken }: Pick<Offer, 'broken'>): boolean {
  const air = airStep(state);
  const frame = air && must(lookup(state.setup.workload).placed, air).component;
  return broken.some(({ steps }) => frame?.steps.some(({ id }) => steps.includes(id)));
}

function serviceWords(state: BenchState, moved: Offer['serviceMoved']): string {
  if (moved.length === 0) return 'service is kept';
  const { plans } = state.setup.workload;
  return moved
    .map(({ plan, from, to }) => {
      const what = plans.length > 1 ? (plans[plan]?.title ?? 'service') : 'service';
      return `${what} would be ${clock(state, to)} instead of ${clock(state, from)}`;
    })
    .join(', ');
}

/** What stands needs no answer any more while the present timetable is told. */
function answered({ situations, answered: before, proposal }: Replanning): Replanning {
  const keys = [...before, ...situations.map(({ key }) => key), ...(proposal?.answers ?? [])];
  return { situations, answered: [...new Set(keys)] };
}

export function decline(state: BenchState, { time }: BenchEvent): Acted {
  if (!state.replanning.proposal) return refused('no new timetable is offered');
  const next = { ...state, replanning: answered(state.replanning) };
  return { ok: true, state: noted(next, time, 'the new timetable was not taken') };
}

const NOTHING_WORDS = {
  'as told': 'no new timetable is needed: the one you have holds',
  none: 'there is no timetable that would do any more',
  unknown: 'no new timetable was found in the time allowed',
  failed: 'no new timetable could be worked out',
} as const;

/** Nothing to offer. It is said where the cook asked, and where it is bad news. */
export function offerNothing(
  state: BenchState,
  { because, outcome, why, time }: Extract<BenchEvent, { kind: 'not proposed' }>,
): Acted {
  const { replanning } = state;
  if (!replanning.situations.some(({ key }) => key === because)) return refused('that situation is over');
  const next = { ...state, replanning: answered(replanning) };
  if (because !== replanning.asked && outcome !== 'none') return { ok: true, state: next };
  return { ok: true, state: noted(next, time, `${NOTHING_WORDS[outcome]}${why === '' ? '' : `: ${why}`}`) };
}
