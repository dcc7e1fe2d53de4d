import { expect, test } from 'vitest';
import { wordsAsk } from '../../src/board/words.ts';
import { axisWidth, paintScreen } from '../../src/board/screen.ts';
import { wordsOf } from '../../src/board/lines.ts';
import { FRESH } from '../../src/board/ui.ts';
import { componentId, type Component } from '../../src/plan/index.ts';
import { seconds } from '../../src/units/index.ts';
import { lookupIn, statusLines, viewOf } from '../../src/view/index.ts';
import { at, call, component, CREAM, named, ran, scene, WORKLOAD, type Scene } from '../support/states.ts';

/* Two plans laid on one kitchen, each with a component called cream and one called plates. */

const of = (name: string, id: string, title: string, plan: number): Component => {
  const made = component(name, title, { whip: { action: `${title} whipped`, hands: 'busy' } });
  const steps = made.steps.map((step) => ({ ...step, component: componentId(id), id: named(`${id}.whip`) }));
  return { ...made, id: componentId(id), plan, steps };
};
const COMPONENTS = [
  of('cream', 'gallery/cream', 'Horseradish cream', 0),
  of('plates', 'gallery/plates', 'Plates', 0),
  of('cream', 'tea/cream', 'Rose cream', 1),
  of('plates', 'tea/plates', 'Plates', 1),
  of('curd', 'tea/curd', 'Curd', 1),
];
const [PLAN] = WORKLOAD.plans;
if (!PLAN) throw new Error('no plan');

function together(now = '17:50'): Scene {
  const alone = scene({ now, margin: 720, components: COMPONENTS.map((each) => ran(each)) });
  const plans = [
    { ...PLAN, name: 'gallery', title: 'Gallery opening' },
    { ...PLAN, name: 'tea', title: 'Tea for two' },
  ] as (typeof WORKLOAD.plans)[number][];
  const workload = { ...WORKLOAD, plans, components: COMPONENTS };
  const service = [at('19:30'), at('18:45')];
  const timetable = { ...alone.state.timetable, service, settings: [], steps: [] };
  return {
    ...alone,
    state: {
      ...alone.state,
      setup: { ...alone.state.setup, workload, timetable },
      timetable,
      calls: [
        call({ kind: 'start', step: named('tea/cream.whip') }, 'Rose cream: whip', '17:49', {
          component: componentId('tea/cream'),
        }),
      ],
    },
    projection: { ...alone.projection, steps: [], soonest: [at('18:50'), at('18:33')], margin: seconds(720) },
  };
}
const on = (width: number): string[] => {
  const { state, projection, now } = together();
  const view = viewOf(state, projection, now, { axisWidth: axisWidth(width) });
  return paintScreen(view, { ui: FRESH, link: {}, beat: false, now }, { width, height: 30 }, []).map(wordsOf);
};

test('namesakes are told apart by their titles, or by their plans where those are the same too', () => {
  const { state } = together();
  const { nameOf } = lookupIn(state.setup.workload);
  expect(COMPONENTS.map(({ id }) => nameOf(id))).toEqual([
    'Horseradish cream',
    'plates (gallery)',
    'Rose cream',
    'plates (tea)',
    'curd',
  ]);
  expect(lookupIn(WORKLOAD).nameOf(CREAM.id)).toBe('cream');
});

test('the first row tells each service, and each margin where there is room', () => {
  expect(on(80)[0]).toBe(' 17:50:00   Gallery opening 19:30, Tea for two 18:45             12 min in hand ');
  expect(on(120)[0]).toContain(
    'Gallery opening 19:30, 40 min in hand   Tea for two 18:45, 12 min in hand       ',
  );
  expect(on(60)[0]).toContain('serve 18:45, 19:30   12 min in hand');
});

test('NOW and plain lines name the component as its row does', () => {
  expect(on(80).join('\n')).toContain('ROSE CREAM');
  const { state, projection, now } = together();
  const lines = statusLines({ state, now }, viewOf(state, projection, now, { axisWidth: 40 }));
  expect(lines.slice(1, 4)).toEqual([
    'Gallery opening: serve 19:30, 40 min in hand',
    'Tea for two: serve 18:45, 12 min in hand',
    'CALL Rose cream: whip',
  ]);
});

test.each([
  ['lost rose', 'tea/cream'],
  ['lost tea/plates', 'tea/plates'],
  ['lost plates (gallery)', 'gallery/plates'],
  ['lost curd', 'tea/curd'],
])('words can name each of them: %s', (line, component) => {
  const { state, now } = together();
  expect(wordsAsk(line, state, now)).toMatchObject({ happenings: [{ kind: 'lost', component }] });
});

test('a name that two have is asked about', () => {
  const { state, now } = together();
  expect(wordsAsk('lost cream', state, now)).toEqual({
    kind: 'say',
    text: 'which component? Horseradish cream, plates (gallery), Rose cream, plates (tea), curd',
  });
});
