import { describe, expect, test } from 'vitest';
import type { BenchEvent, Happening } from '../../src/bench/index.ts';
import { memoryJournal } from '../../src/journal/index.ts';
import { simulatedClock } from '../../src/keeper/clock.ts';
import { benchEngine } from '../../src/keeper/bench-engine.ts';
import { openCore, type Core, type Taken } from '../../src/keeper/core.ts';
import { directReplanner, type Replanned, type Replanner } from '../../src/keeper/replanner.ts';
import { openLocalKeeper } from '../../src/keeper/local.ts';
import { readFromBoard } from '../../src/keeper/protocol.ts';
import { componentId, stepId } from '../../src/plan/index.ts';
import type { Progress } from '../../src/planner/index.ts';
import { setupOf } from '../support/plans.ts';
import { postponed, postponing } from '../support/replans.ts';

/* A keeper and a replanner of the test's own: what is asked is kept, and answered when the test says so. */
const setup = setupOf(`
components:
  cream:
    steps:
      - warm:  { takes: 6 min, hands: near }
      - chill: { rest: 30 min - 4 h, uses: [fridge shelf] }
  finish:
    steps:
      - fold: { takes: 10 min, hands: busy, needs: [cream] }
`);
const WARM = stepId(componentId('cream'), 'warm');

interface Scene {
  readonly core: Core;
  readonly asked: Progress[];
  readonly complaints: string[];
  press(happening: Happening): Taken;
  tick(afterMs: number): void;
  /** The replanner answers the request that waits. */
  answer(replanned: Replanned | ((progress: Progress) => Replanned)): void;
  kinds(): string[];
}

function scene(): Scene {
  const clock = simulatedClock(setup.begunAt);
  const asked: Progress[] = [];
  const complaints: string[] = [];
  let waiting: ((replanned: Replanned) => void) | undefined;
  const replanner: Replanner = {
    ask(progress, answer) {
      expect(waiting).toBeUndefined();
      asked.push(progress);
      waiting = answer;
    },
    close: () => (waiting = undefined),
  };
  const core = openCore({
    journal: memoryJournal(setup),
    engine: benchEngine,
    clock,
    replanner,
    complain: (what) => complaints.push(what),
  });
  let presses = 0;
  return {
    core,
    asked,
    complaints,
    press(happening) {
      let taken: Taken = { ok: false, why: 'not answered' };
      presses += 1;
      core.take({ kind: 'act', id: `press-${presses}`, source: 'cook', happening }, (said) => (taken = said));
      return taken;
    },
    tick(afterMs) {
      clock.advance(afterMs);
      core.take({ kind: 'tick' });
    },
    answer(replanned) {
      const answered = waiting;
      const progress = asked.at(-1);
      if (!answered || !progress) throw new Error('nothing was asked');
      waiting = undefined;
      answered(typeof replanned === 'function' ? replanned(progress) : replanned);
    },
    kinds: () => core.journal.events.map((event) => event.kind).filter((kind) => kind !== 'clock'),
  };
}

/** Everything a quarter of an hour later. */
const later = (progress: Progress): Replanned => postponing(900)(setup.workload, { progress });
const ASK: Happening = { kind: 'timetable asked' };
const offered = ({ core }: Scene) => core.state.replanning.proposal;

describe('a new timetable', () => {
  test('is asked for, offered as an event, taken by the cook, and taken back', () => {
    const at = scene();
    expect(at.asked).toEqual([]);
    at.press(ASK);
    expect(at.asked).toMatchObject([{ now: setup.begunAt, told: setup.timetable }]);
    // The keeper has gone on meanwhile.
    at.tick(1000);
    at.answer(later);
    const proposal = offered(at);
    if (!proposal) throw new Error('nothing is offered');
    expect(at.core.state.timetable).toBe(setup.timetable);
    expect(at.press({ kind: 'timetable', timetable: proposal.timetable })).toMatchObject({ ok: true });
    expect(at.core.state.timetable.service).toEqual(proposal.timetable.service);
    at.press({ kind: 'undo' });
    expect(at.core.state.timetable).toBe(setup.timetable);
    expect(at.kinds()).toEqual(['timetable asked', 'proposed', 'timetable', 'undo']);
    expect(at.core.journal.events.find(({ kind }) => kind === 'proposed')?.source).toBe('clock');
    // The run comes out of its journal as it is.
    const again = at.core.journal.events.reduce<typeof at.core.state>(
      (state, event: BenchEvent) => benchEngine.apply(state, event).state,
      benchEngine.begin(setup),
    );
    expect(JSON.stringify(again)).toBe(JSON.stringify(at.core.state));
  });

  test('is asked for by what happens, without anybody asking', () => {
    const at = scene();
    at.press({ kind: 'start', step: WARM, at: setup.begunAt });
    at.press({ kind: 'lost', component: componentId('cream') });
    expect(at.asked).toHaveLength(1);
    at.answer({ kind: 'as told' });
    expect(at.kinds()).toEqual(['start', 'lost', 'not proposed']);
  });

  test('that is outdated when it comes is thrown away, and asked for anew from how the run stands then', () => {
    const at = scene();
    at.press(ASK);
    at.press({ kind: 'start', step: WARM, at: setup.begunAt });
    // Made for a run in which the cream had not begun: it has now, a quarter of an hour before its new time.
    at.answer(later);
    expect(offered(at)).toBeUndefined();
    expect(at.asked[1]?.steps[WARM]).toMatchObject({ kind: 'going' });
    at.answer((progress) => ({
      ...postponing(900)(setup.workload, { progress }),
      timetable: postponed(progress, 900),
    }));
    expect(at.complaints).toEqual([]);
    expect(offered(at)).toBeDefined();
  });

  test('one request at a time: what else comes up waits, and the newest situation wins', () => {
    const at = scene();
    at.press({ kind: 'start', step: WARM, at: setup.begunAt });
    at.press({ kind: 'lost', component: componentId('cream') });
    at.press(ASK);
    expect(at.asked).toHaveLength(1);
    // The answer to the loss is no answer to what is wanted now.
    at.answer(later);
    expect([at.kinds(), at.asked.length]).toEqual([['start', 'lost', 'timetable asked'], 2]);
    at.answer(later);
    expect(offered(at)?.answers).toEqual([expect.stringMatching(/^asked /), 'lost cream#2']);
  });

  test('that breaks a rule is never offered, and said once', () => {
    const at = scene();
    at.press(ASK);
    at.answer((progress) => {
      const made = postponing(900)(setup.workload, { progress });
      const [first, ...rest] = made.timetable.steps;
      if (!first) throw new Error('there is no step');
      // The cream is warmed in no time.
      return { ...made, timetable: { ...made.timetable, steps: [{ ...first, end: first.start }, ...rest] } };
    });
    expect(offered(at)).toBeUndefined();
    expect(at.complaints).toEqual([expect.stringContaining('a new timetable breaks a rule')]);
    expect(at.core.state.log.at(-1)?.text).toBe(
      'no new timetable could be worked out: the one that was found breaks a rule',
    );
    expect(at.asked).toHaveLength(1);
  });

  test('that the bench refuses although nothing has happened is not asked for again and again', () => {
    const at = scene();
    at.press(ASK);
    at.answer((progress) => ({
      ...postponing(900)(setup.workload, { progress }),
      serviceMoved: [{ plan: 7, from: setup.begunAt, to: setup.begunAt }],
    }));
    expect(at.asked).toHaveLength(1);
    expect(at.kinds()).toEqual(['timetable asked', 'not proposed']);
  });

  test('that cannot be worked out: the cook who asked hears it, and the run goes on', () => {
    const at = scene();
    at.press(ASK);
    at.answer({ kind: 'failed', why: 'it took too long', detail: '' });
    expect(at.core.state.log.at(-1)?.text).toBe('no new timetable could be worked out: it took too long');
    expect(at.press({ kind: 'start', step: WARM, at: setup.begunAt })).toMatchObject({ ok: true });
  });

  test('is asked for again by the keeper that follows one that died over it', () => {
    const journal = memoryJournal(setup);
    const clock = simulatedClock(setup.begunAt);
    const first = openCore({ journal, engine: benchEngine, clock });
    first.take({ kind: 'act', id: 'press-1', source: 'cook', happening: ASK });
    const next = openCore({
      journal,
      engine: benchEngine,
      clock,
      replanner: directReplanner(setup.workload, postponing(900)),
    });
    expect(next.state.replanning.proposal?.reason).toBe('you asked for one');
  });

  test('a run that has ended asks for none', () => {
    const at = scene();
    at.core.take({ kind: 'stop', reason: 'stopped' });
    expect(at.press(ASK)).toMatchObject({ ok: false });
    expect(at.asked).toEqual([]);
  });
});

test('in this very thread the answer is there with the press that asked, and a planner that breaks is no matter', async () => {
  const clock = simulatedClock(setup.begunAt);
  let broken = true;
  const replanner = directReplanner(setup.workload, (workload, request) => {
    if (broken) throw new Error('out of order');
    return postponing(900)(workload, request);
  });
  const keeper = openLocalKeeper({ journal: memoryJournal(setup), engine: benchEngine, clock, replanner });
  await keeper.press(ASK);
  expect(keeper.state.log.at(-1)?.text).toBe(
    'no new timetable could be worked out: thirdhand made a mistake',
  );
  broken = false;
  await keeper.press(ASK);
  expect(keeper.state.replanning.proposal?.serviceMoved).toHaveLength(1);
});

test('a board may take, leave and ask; only a keeper may offer', () => {
  const says = (happening: object): boolean =>
    readFromBoard(JSON.stringify({ say: 'press', id: 'a', happening })) !== undefined;
  const { service, steps, settings } = setup.timetable;
  const offer = { timetable: { service, steps, settings }, changes: [], serviceMoved: [], broken: [] };
  expect(says(ASK)).toBe(true);
  expect(says({ kind: 'declined' })).toBe(true);
  expect(says({ kind: 'timetable', timetable: offer.timetable })).toBe(true);
  expect(says({ kind: 'proposed', because: 'x', ...offer })).toBe(false);
  expect(says({ kind: 'not proposed', because: 'x', outcome: 'none', why: '' })).toBe(false);
});
