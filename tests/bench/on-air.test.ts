import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { answer, isOnAir, replay, stageOf, type Happening } from '../../src/bench/index.ts';
import type { StepId } from '../../src/plan/index.ts';
import { decodeSetup, encodeSetup } from '../../src/journal/index.ts';
import { epochMs, plus, seconds, secondsBetween, wallClock } from '../../src/units/index.ts';
import { boardView } from '../../src/view/index.ts';
import { TestRun } from '../support/bench.ts';
import { at } from '../support/plans.ts';
import { done, onAir, stageSetup, start } from '../support/stage-fixture.ts';

const length = (step: string, to: number): Happening => ({
  kind: 'length',
  step: step as never,
  length: seconds(to),
});

/** How it stands: showing, whether it is going, how it ends, what is offered. */
function stands(run: TestRun, time: string): string {
  run.clock(time);
  const stage = stageOf(run.state, run.state.time);
  if (stage?.phase !== 'on air') return `${stage?.phase}${stage?.phase === 'over' ? ` ${stage.over}` : ''}`;
  const { onAir: air, isGoing, outlook, change } = stage;
  const name = stage.rundown.showings[air.showing]?.action;
  return `${name}${isGoing ? '' : ' (waited for)'} ${outlook.over >= 0 ? '+' : ''}${outlook.over}${change ? ` ${change.showing} ${change.from}>${change.to}` : ''}`;
}

describe('a demonstration on air', () => {
  test('before: it says when it goes on air', () => {
    const run = new TestRun(stageSetup()).clock('12:30');
    const stage = stageOf(run.state, run.state.time);
    expect(stage?.phase === 'before' && wallClock(stage.begins, 'UTC')).toBe('13:00');
    expect(isOnAir(run.state)).toBe(false);
  });

  test('one press goes from one showing to the next, and takes the swap out of the cold', () => {
    const run = done(onAir(), '13:01:30', 'stage.welcome');
    expect([run.stepState('discs A.freeze'), run.stepState('discs A.stamp')]).toEqual(['ended', 'running']);
    expect(stands(run, '13:01:40')).toBe('stamp the discs +0');
    run.do('13:01:45', { kind: 'undo' });
    expect([run.stepState('stage.welcome'), run.stepState('discs A.freeze')]).toEqual(['running', 'running']);
  });

  test('the time on air begins with the first showing, without a press of its own', () => {
    const before = new TestRun(stageSetup());
    start(before, '12:59', 'air.places');
    expect(before.clock('13:00').calls.filter((call) => !/discs|cream/.test(call))).toEqual([
      'stage: welcome',
    ]);
    expect(onAir().stepState('air.on air')).toBe('running');
    expect(before.clock('13:04').alarms.filter((alarm) => /waited too long/.test(alarm))).toEqual([]);
  });

  test('it goes on air at its time, also where everybody is at their places before; or earlier, by a press', () => {
    const run = new TestRun(stageSetup());
    start(run, '12:56', 'air.places');
    expect(run.clock('12:58').calls).toContain('(stage: welcome)');
    expect(run.clock('13:00').calls).toContain('stage: welcome');
    const early = new TestRun(stageSetup());
    start(early, '12:00', 'discs A.roll');
    start(early, '12:10', 'discs A.freeze');
    start(early, '12:56', 'air.places');
    expect(stands(start(early, '12:58', 'stage.welcome'), '12:58:10')).toBe('welcome +0');
  });

  test('while it waits for its presenter no new timetable is wanted, and nothing tells of service', () => {
    const run = new TestRun(stageSetup());
    start(run, '12:00', 'discs A.roll');
    start(run, '12:10', 'discs A.freeze');
    start(run, '12:59', 'air.places');
    run.clock('13:04');
    expect(run.calls).toContain('stage: welcome');
    expect(run.state.replanning.situations).toEqual([]);
    expect(run.alarms.filter((alarm) => /late for service/.test(alarm))).toEqual([]);
    expect(boardView(run.state, at('13:00:36'), { axisWidth: 40 }).headline).toMatchObject({
      service: 'on air 13:00',
      margin: '0:36 late',
    });
  });

  test('late work ahead: a new timetable says when it would go on air, and none has the audience wait', () => {
    const run = new TestRun(stageSetup()).clock('12:50');
    const [situation] = run.state.replanning.situations;
    if (!situation) throw new Error('nothing is wrong');
    const { timetable } = run.state;
    const moved = {
      ...timetable,
      steps: timetable.steps.map((step) => ({
        ...step,
        start: plus(step.start, 3600),
        end: plus(step.end, 3600),
      })),
      service: timetable.service.map((moment) => plus(moment, 3600)),
    };
    const proposed = (broken: readonly StepId[]): Happening => ({
      kind: 'proposed',
      because: situation.key,
      timetable: moved,
      changes: [],
      serviceMoved: [{ plan: 0, from: at('13:07:30'), to: at('14:07:30') }],
      broken: broken.length > 0 ? [{ steps: broken, message: 'waits' }] : [],
    });
    expect(run.try('12:50:05', proposed(['air.on air' as StepId]))).toBe('the audience would have to wait');
    run.do('12:50:10', proposed([]));
    const said = 'on air would be 14:00 instead of 13:00';
    expect(run.state.log.at(-1)?.text).toBe(`a new timetable is offered: ${said}`);
    expect(boardView(run.state, run.state.time, { axisWidth: 40 }).offer).toMatchObject({
      headline: said,
      shorter: 'on air 14:00, not 13:00',
    });
    run.do('12:50:20', { kind: 'timetable', timetable: moved });
    const stage = stageOf(run.state, run.state.time);
    expect(stage?.phase === 'before' && wallClock(stage.begins, 'UTC')).toBe('14:00');
  });

  test('a showing that is left out is followed by the next at once', () => {
    const run = done(onAir(), '13:01:30', 'stage.welcome');
    run.do('13:01:40', { kind: 'skip', step: 'discs A.stamp' as never });
    expect(stands(run, '13:01:41')).toMatch(/^pipe a row of puffs -50/);
    run.do('13:01:45', { kind: 'undo' });
    expect(stands(run, '13:01:46')).toBe('stamp the discs +0');
  });

  test('one that is still to come is left out, and nothing begins for that', () => {
    const run = onAir().do('13:00:30', { kind: 'skip', step: 'puffs.pipe' as never });
    expect([run.stepState('stage.film'), stands(run, '13:00:31')]).toEqual([
      'waiting',
      expect.stringMatching(/^welcome -60/),
    ]);
    done(done(run, '13:01:30', 'stage.welcome'), '13:02:30', 'discs A.stamp');
    expect(stands(run, '13:02:31')).toMatch(/^film /);
  });

  test('time on air begins when it goes on air, not when it should have', () => {
    expect(stands(onAir('13:04:00'), '13:04:10')).toBe('welcome +0');
  });

  test('over its length it runs over second by second, and beyond what is allowed a cut is offered', () => {
    const run = onAir();
    expect(stands(run, '13:01:34')).toBe('welcome +4');
    expect(stands(run, '13:01:50')).toBe('welcome +20 discs A.stamp 60>40');
    done(run, '13:01:50', 'stage.welcome').do('13:01:52', length('discs A.stamp', 40));
    expect(stands(run, '13:02:00')).toBe('stamp the discs +0');
  });

  test('with time in hand a stretch is offered, and taken back', () => {
    const run = done(onAir(), '13:01:00', 'stage.welcome');
    expect(stands(run, '13:01:00')).toBe('stamp the discs -30 discs A.stamp 60>90');
    run.do('13:01:02', length('puffs.fill', 120));
    expect(stands(run, '13:01:03')).toBe('stamp the discs +0');
    run.do('13:01:05', { kind: 'undo' });
    expect(stands(run, '13:01:06')).toBe('stamp the discs -30 discs A.stamp 60>90');
  });

  test.each([
    ['puffs.pipe', 39, 'puffs: pipe may be cut to 40 s and stretched to 1 min 20 s'],
    ['puffs.pipe', 81, 'puffs: pipe may be cut to 40 s and stretched to 1 min 20 s'],
    ['stage.film', 60, 'stage: film has one length: the plan names no other'],
  ])('refused: %s to %d s', (step, to, why) => {
    expect(onAir().try('13:00:10', length(step, to))).toBe(why);
  });

  test('a showing that ends by the clock is followed by its call, and can be left early', () => {
    const run = onAir();
    for (const [time, step] of [
      ['13:01:30', 'stage.welcome'],
      ['13:02:30', 'discs A.stamp'],
      ['13:03:30', 'puffs.pipe'],
    ] as const)
      done(run, time, step);
    expect(run.calls).toContain('(stage: film, done?)');
    start(run, '13:03:32', 'puffs.bake');
    expect(stands(run, '13:05:36')).toBe('fill and close (waited for) +6 puffs.fill 90>80');
    start(run, '13:05:36', 'puffs.fill');
    done(run, '13:07:06', 'puffs.fill');
    done(run, '13:07:36', 'stage.plate');
    expect(stands(run, '13:08:00')).toBe('over 6');
    expect(isOnAir(run.state)).toBe(false);
  });

  test('what is live waits for what happens to it off view: the call stands, the air is dead', () => {
    const run = onAir();
    for (const [time, step] of [
      ['13:01:30', 'stage.welcome'],
      ['13:02:30', 'discs A.stamp'],
      ['13:03:30', 'puffs.pipe'],
    ] as const)
      done(run, time, step);
    start(run, '13:04:00', 'puffs.bake');
    expect(stands(run, '13:05:40')).toBe('fill and close (waited for) +30 puffs.fill 90>60');
    expect(run.try('13:05:40', { kind: 'start', step: 'puffs.fill' as never, at: at('13:05:40') })).toBe(
      'puffs: fill must wait for puffs: bake',
    );
  });

  test('on air nothing sounds but what is high, and no new timetable is wanted', () => {
    const run = onAir();
    const rang = run.rang.length;
    run.clock('13:09:00');
    expect(run.rang.slice(rang).filter(({ priority }) => priority !== 'high')).toEqual([]);
    expect(run.alarms.filter((alarm) => /late for service|runs over/.test(alarm))).toEqual([]);
    expect(run.state.replanning.situations).toEqual([]);
  });

  test('written down and read again it is the same run, to the byte', () => {
    const run = done(onAir(), '13:01:50', 'stage.welcome').do('13:01:52', length('puffs.pipe', 40));
    const setup = decodeSetup(encodeSetup(stageSetup()));
    if (!setup.ok) throw new Error(JSON.stringify(setup.problem));
    expect(setup.value).toEqual(stageSetup());
    expect(JSON.stringify(replay(setup.value, run.events))).toBe(JSON.stringify(run.state));
  });
});

describe('laws of the stage', () => {
  const act = fc.record({
    after: fc.integer({ min: 0, max: 150 }),
    kind: fc.constantFrom('on', 'on', 'on', 'change', 'length', 'undo', 'clock', 'job', 'spoilt'),
    pick: fc.nat(1000),
  });
  const acts = fc.array(act, { maxLength: 30, size: 'max' });

  /** What a presenter does, where something can be done. */
  function deed(run: TestRun, kind: string, pick: number): Happening | undefined {
    const { state } = run;
    const stage = stageOf(state, state.time);
    if (stage?.phase !== 'on air') return undefined;
    const going = stage.rundown.showings[stage.onAir.showing];
    const other = stage.rundown.showings[pick % stage.rundown.showings.length];
    switch (kind) {
      case 'on':
        return going && { kind: stage.isGoing ? 'done' : 'start', step: going.step, at: state.time };
      case 'change': {
        const step = stage.rundown.showings.find((each) => each.step === stage.change?.showing)?.step;
        return stage.change && step && { kind: 'length', step, length: stage.change.to };
      }
      case 'length':
        return other && { kind: 'length', step: other.step, length: seconds(1 + (pick % 130)) };
      case 'job': {
        const call = state.calls.find(({ asks }) => asks.kind === 'start' && asks.step === 'puffs.bake');
        return call && answer(call, state.time);
      }
      case 'undo':
        return { kind: 'undo' };
      case 'spoilt':
        return { kind: 'spoilt', swap: 'A' };
      default:
        return { kind: 'clock' };
    }
  }

  /** How many changes are offered one after the other if each is taken at once. */
  function offersFrom({ state, events }: TestRun): number {
    const run = new TestRun(state.setup);
    run.state = state;
    run.events.push(...events);
    let taken = 0;
    for (; taken < 40; taken += 1) {
      const happening = deed(run, 'change', 0);
      if (!happening || run.try(run.state.time, happening) !== undefined) break;
    }
    return taken;
  }

  test('whatever is offered can be taken, and offers come to an end: none takes back another', () => {
    fc.assert(
      fc.property(acts, (list) => {
        const run = onAir();
        for (const { after, kind, pick } of list) {
          run.clock(epochMs(run.state.time + after * 1000));
          const happening = deed(run, kind, pick);
          if (happening) run.try(run.state.time, happening);
        }
        expect(offersFrom(run)).toBeLessThan(2 * 6);
      }),
      { numRuns: 60, seed: 20_261_126 },
    );
  });

  test('whatever is pressed: no showing goes beyond its limits, a cut brings the end forward, and the run can be lived again', () => {
    let changes = 0;
    fc.assert(
      fc.property(acts, (list) => {
        const run = onAir();
        const wrong: unknown[] = [];
        for (const { after, kind, pick } of list) {
          run.clock(epochMs(run.state.time + after * 1000));
          const happening = deed(run, kind, pick);
          const before = stageOf(run.state, run.state.time);
          const refused = happening && run.try(run.state.time, happening);
          const stage = stageOf(run.state, run.state.time);
          if (kind === 'change' && happening && before?.phase === 'on air' && stage?.phase === 'on air') {
            changes += 1;
            const isCut = before.change !== undefined && before.change.to < before.change.from;
            const sooner = before.outlook.over - stage.outlook.over;
            if (refused !== undefined || (isCut && sooner <= 0)) wrong.push({ refused, happening, sooner });
          }
          if (stage?.phase !== 'on air') continue;
          for (const { step, shortest, longest } of stage.rundown.showings) {
            const length = stage.onAir.lengths[step];
            // 0: left out.
            if (length === undefined || length === 0) continue;
            expect(length).toBeGreaterThanOrEqual(shortest);
            // Cut while it goes on, it has lasted as long as it has: that can be more than it should.
            const going = step === stage.rundown.showings[stage.onAir.showing]?.step;
            const passed = going ? secondsBetween(stage.onAir.since, run.state.time) : 0;
            expect(length).toBeLessThanOrEqual(Math.max(longest, passed));
          }
        }
        expect(wrong).toEqual([]);
        expect(JSON.stringify(replay(stageSetup(), run.events))).toBe(JSON.stringify(run.state));
      }),
      { numRuns: 60, seed: 20_261_125 },
    );
    expect(changes).toBeGreaterThan(20);
  });
});
