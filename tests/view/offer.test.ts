import { expect, test } from 'vitest';
import type { Proposal } from '../../src/bench/index.ts';
import { boardView, plainLines, statusLines, viewOf } from '../../src/view/index.ts';
import { SCENES } from '../support/scenes.ts';
import { at, named, scene, TIMETABLE, WORKLOAD } from '../support/states.ts';

const { 'offer-kept': kept, 'offer-moved': moved } = SCENES;
const proposal = moved?.state.replanning.proposal;
if (!kept || !moved || !proposal) throw new Error('scenes are missing');

const offerOf = (of: Partial<Proposal>, margin?: number) => {
  const made = scene({
    now: '18:24:30',
    proposal: { ...proposal, ...of },
    ...(margin === undefined ? {} : { offeredMargin: margin }),
  });
  const offered = made.offered ? { offered: made.offered } : {};
  return viewOf(made.state, made.projection, made.now, { axisWidth: 20, ...offered }).offer;
};
const KEPT = { serviceMoved: [], broken: [] } as const;

test.each([
  [720, 'service kept, 12 min in hand', 'good'],
  [200, 'service kept, 3 min in hand', 'care'],
  [0, 'service kept, on the minute', 'care'],
  [-120, 'service kept, but 2 min late as it goes', 'bad'],
])('what it means for service, with %i s in hand', (margin, headline, tone) => {
  expect(offerOf(KEPT, margin)).toMatchObject({ headline, shorter: 'service kept', tone });
});

test('a service that moves is said before all else', () => {
  expect(offerOf({}, 720)).toMatchObject({
    headline: 'service would be 19:45 instead of 19:30',
    shorter: 'serve 19:45, not 19:30',
    tone: 'care',
    reason: 'finish: fill would begin 12 min later than told',
  });
});

test('several services: the first in the headline, each in a line; then what breaks, then what moves', () => {
  const twice = { plan: 0, from: at('19:30'), to: at('19:50') };
  const made = scene({
    now: '18:24:30',
    proposal: { ...proposal, serviceMoved: [twice, { ...twice, plan: 1 }] },
  });
  const [plan] = WORKLOAD.plans;
  if (!plan) throw new Error('there is no plan');
  const workload = {
    ...WORKLOAD,
    plans: [
      { ...plan, title: 'Tarts' },
      { ...plan, title: 'Puffs' },
    ],
  };
  const state = { ...made.state, setup: { ...made.state.setup, workload } };
  const offer = viewOf(state, made.projection, made.now, { axisWidth: 20 }).offer;
  expect(offer?.headline).toBe('Tarts would be 19:50 instead of 19:30, and 1 more');
  expect(offer?.lines.map(({ kind }) => kind)).toEqual([
    'service',
    'service',
    'broken',
    'moved',
    'moved',
    'moved',
    'moved',
  ]);
});

test('words of a plan cannot steer a terminal', () => {
  const change = { message: 'a\u001B[2Jb', from: at('18:30'), to: at('18:40'), step: named('shells.dry') };
  expect(offerOf({ ...KEPT, changes: [change] })?.lines).toEqual([{ kind: 'moved', text: 'a [2Jb' }]);
});

test('somebody who comes back is told that it waits', () => {
  const absence = { from: at('18:00'), to: at('18:24'), reason: 'nobody looked' } as const;
  const view = viewOf(moved.state, moved.projection, moved.now, { axisWidth: 20, absence });
  expect(view.away?.owed[0]).toBe('a new timetable is offered: service would be 19:45 instead of 19:30');
});

test('the far view says it in a line', () => {
  const view = viewOf(moved.state, moved.projection, moved.now, { axisWidth: 20 });
  expect(view.far.offer).toBe('new timetable: service would be 19:45 instead of 19:30');
});

test('the margin is the one by the new timetable', () => {
  const later = { ...TIMETABLE, service: [at('20:30')] };
  const state = {
    ...kept.state,
    replanning: { ...kept.state.replanning, proposal: { ...proposal, ...KEPT, timetable: later } },
  };
  const margins = [undefined, later].map((timetable) => {
    const shown = timetable ? { ...kept.state, timetable } : state;
    const view = boardView(shown, kept.now, { axisWidth: 20 });
    return timetable ? `service kept, ${view.headline.margin}` : view.offer?.headline;
  });
  expect(margins[0]).toBe(margins[1]);
});

test('plain lines say a new timetable once, in full, and the status repeats it', () => {
  const { state, now, projection } = moved;
  const before = { state: { ...state, replanning: { situations: [], answered: [] } }, now };
  const lines = [
    'NEW TIMETABLE service would be 19:45 instead of 19:30 (because finish: fill would begin 12 min later than told)',
    '  ! cannot be kept: cream keeps 20 min until finish.fill is over',
    '  cream: chill from 18:25, not 18:06',
    '  shells: dry from 18:47, not 18:45',
    '  finish: whip from 19:09, not 19:05',
    '  finish: fill from 19:14, not 19:10',
    '  "take" takes it, "leave" keeps the old one',
  ];
  expect(plainLines(before, { state, now })).toEqual(lines.map((line) => `18:24:30 ${line}`));
  expect(plainLines({ state, now }, { state, now })).toEqual([]);
  const view = viewOf(state, projection, now, { axisWidth: 20 });
  expect(statusLines({ state, now }, view).slice(-lines.length)).toEqual(lines);
});
