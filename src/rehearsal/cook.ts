import {
  answer,
  stageOf,
  type Alarm,
  type BenchState,
  type Call,
  type Happening,
  type Source,
} from '../bench/index.ts';
import type { Step, StepId, Trigger } from '../plan/index.ts';
import { earlier, later, plus, seconds, type EpochMs } from '../units/index.ts';
import { between, chance } from './chance.ts';
import { forgetfulness, forgottenKnob, tiedUntil, type Fault } from './faults.ts';
import { emptiedAt, freeSince, type Going, type Scene, type Shown } from './hands.ts';
import type { Life } from './life.ts';
import { delay, type CookManner } from './manner.ts';
import type { Nature } from './nature.ts';
import { seenByEye } from './readings.ts';
import { looksUp, shownFor, turnTo, USUAL_PRESENTER } from './stage/presenter.ts';

/** What happens next in a rehearsal, when, and whether a person or a probe is the cause. (A probe that is read off by hand is the cook's.) */
export interface Act {
  readonly at: EpochMs;
  readonly source: Extract<Source, 'rehearsal' | 'probe' | 'cook'>;
  readonly happening: Happening;
}

export { USUAL_MANNER, type CookManner } from './manner.ts';

/** What a rehearsal is made of. */
export interface Troupe {
  readonly seed: number;
  readonly manner: CookManner;
  readonly nature: Nature;
  readonly steps: ReadonlyMap<StepId, Step>;
  readonly faults: readonly Fault[];
  /** Days as they are; nothing where each draw stands for itself and no press is forgotten. */
  readonly life?: Life;
}

const byCook = (at: EpochMs, happening: Happening): Act => ({ at, source: 'rehearsal', happening });

/** How the cook answers a call; nothing while hands or a tool are wanting. */
export function answerTo(call: Call, scene: Scene, troupe: Troupe): Act | undefined {
  const { asks } = call;
  switch (asks.kind) {
    case 'start': {
      const step = troupe.steps.get(asks.step);
      const free = step && freeSince(step, scene);
      if (free === undefined) return undefined;
      const forgotten = forgetfulness(asks.step, troupe.faults, scene.isReplanned);
      const shown = scene.shown.get(asks.step);
      // Nobody is elsewhere when the next thing is to be shown.
      if (shown) return answered(call, plus(call.due, turnTo(USUAL_PRESENTER, shown, troupe.seed)));
      return answered(call, plus(later(call.due, free), delay(troupe, call.key) + forgotten));
    }
    case 'done':
      // What nature ends is ended by `endOf`; only of a rest does the cook choose the moment.
      return restEnd(call, asks.step, scene, troupe);
    case 'oven set':
      return answered(
        call,
        plus(
          later(call.due, emptiedAt(asks.oven, scene)),
          delay(troupe, call.key) + (asks.heat.kind === 'off' ? 0 : forgottenKnob(asks.oven, troupe.faults)),
        ),
      );
    case 'timer done':
    case 'turn':
      return answered(call, plus(call.due, delay(troupe, call.key)));
    case 'served':
      return answered(call, call.due);
  }
}

const answered = (call: Call, at: EpochMs): Act => byCook(at, answer(call, at));

function restEnd(call: Call, id: StepId, scene: Scene, troupe: Troupe): Act | undefined {
  const found = scene.going.find(({ run }) => run.step === id);
  if (!found || found.step.length.kind !== 'rest') return undefined;
  const enough = plus(found.run.startedAt, troupe.nature.duration(found.step, found.attempt));
  return answered(call, plus(later(call.due, enough), delay(troupe, call.key)));
}

/** When the cook ends a running step that only a person can end: once nature is done with it, and it was noticed. */
export function endOf(going: Going, scene: Scene, troupe: Troupe): Act | undefined {
  const { step, run, attempt } = going;
  const onView = scene.shown.get(step.id);
  if (onView) return endOfShowing(going, onView, troupe);
  const seen = seenByEye(going, troupe);
  if (seen !== undefined) return byCook(seen, { kind: 'done', step: step.id, at: seen });
  if (step.length.kind === 'rest' || !endsByHand(step)) return undefined;
  const done = plus(
    run.startedAt,
    Math.max(0, troupe.nature.duration(step, attempt) + run.extra) +
      delay(troupe, `end ${step.id} ${attempt}`),
  );
  const at = earlier(done, fetched(going, scene) ?? done);
  return byCook(at, { kind: 'done', step: step.id, at });
}

/** When a copy that is shown while it is still being made is taken for its showing: once it is wanted, and may be. */
function fetched({ step, run }: Going, { waited }: Scene): EpochMs | undefined {
  if (!waited?.copies.has(step.id) || step.length.kind === 'rest') return undefined;
  const usable = plus(run.startedAt, step.length.range.low + run.extra);
  return later(waited.since, usable);
}

/** When the presenter goes on. What the clock ends is left to it. */
function endOfShowing({ step, run, attempt }: Going, shown: Shown, troupe: Troupe): Act | undefined {
  const { showing } = shown;
  if (showing.ends === 'clock') return undefined;
  const { seed, nature } = troupe;
  const lasts =
    showing.decides === 'nature'
      ? seconds(nature.duration(step, attempt) + run.extra)
      : shownFor(USUAL_PRESENTER, showing, seconds(showing.length.usual + run.extra), seed);
  // Where the last press was for the showing before, the turn to this one is part of it.
  const turn = shown.isCalled ? 0 : turnTo(USUAL_PRESENTER, shown, seed);
  const at = plus(run.startedAt, turn + lasts);
  return byCook(at, { kind: 'done', step: step.id, at });
}

/** Whether only a person can end a step, or take out what rests: nature does not say so itself. */
export function endsByHand({ length, until }: Step): boolean {
  if (until) return wantsPerson(until);
  return length.kind !== 'rest' && !(length.kind === 'takes' && length.range.low === length.range.high);
}

/** Whether it takes a person's eyes to say that a trigger is met. */
function wantsPerson(trigger: Trigger): boolean {
  switch (trigger.kind) {
    case 'cue':
      return true;
    case 'probe':
    case 'join':
      return false;
    case 'any':
    case 'all':
      return trigger.of.some(wantsPerson);
  }
}

/** What the cook does once a hand is free again, where it is tied when it should be done. */
export function untied(act: Act, now: EpochMs, troupe: Troupe): Act {
  const until = tiedUntil(troupe.faults, later(act.at, now));
  if (until === undefined) return act;
  const { happening } = act;
  const about = 'step' in happening ? `${happening.kind} ${happening.step}` : happening.kind;
  const at = plus(
    until,
    between(troupe.manner.soonest, troupe.manner.latest, chance(troupe.seed, 'untied', about)),
  );
  return { ...act, at, happening: 'at' in happening ? { ...happening, at } : happening };
}

/** A presenter looks at the clock once in a showing, some seconds into it, and takes what is offered, one after the other. */
export function changeOnAir(state: BenchState, { seed }: Troupe): Act | undefined {
  const stage = state.setup.rundown && stageOf(state, state.time);
  if (stage?.phase !== 'on air' || !stage.isGoing) return undefined;
  const { showings } = stage.rundown;
  const showing = showings[stage.onAir.showing];
  if (!showing) return undefined;
  const look = plus(stage.onAir.since, looksUp(showing, seed));
  if (look < state.time) return undefined;
  const seen = stageOf(state, look);
  const change = seen?.phase === 'on air' ? seen.change : undefined;
  const step = showings.find((each) => each.step === change?.showing)?.step;
  return change && step ? byCook(look, { kind: 'length', step, length: change.to }) : undefined;
}

/** The cook hears an alarm out after a moment; what it asks for is left to the calls. */
export function hearing(alarm: Alarm, troupe: Troupe): Act | undefined {
  if (alarm.state === 'heard') return undefined;
  const at = plus(alarm.returnedAt ?? alarm.raisedAt, delay(troupe, alarm.key));
  return byCook(at, { kind: 'heard', key: alarm.key });
}

/**
 * What the cook says to a new timetable, after a moment: one that keeps every service is taken, whatever it moves, and one
 * that does not is left. (A cook in a rehearsal has nobody to ask whether the guests would wait.)
 */
export function answerToOffer({ replanning }: BenchState, troupe: Troupe): Act | undefined {
  const { proposal } = replanning;
  if (!proposal) return undefined;
  const at = plus(proposal.madeAt, delay(troupe, proposal.answers.join(' ')));
  const { timetable, serviceMoved } = proposal;
  return byCook(at, serviceMoved.length === 0 ? { kind: 'timetable', timetable } : { kind: 'declined' });
}
