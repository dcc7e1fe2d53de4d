import type { RunSetup } from '../../bench/index.ts';
import type { Step, StepId } from '../../plan/index.ts';
import { minutes, roughly, seconds, type Seconds } from '../../units/index.ts';
import type { Window } from '../fast/index.ts';
import type { Change } from './changes.ts';
import type { Reason } from './waits.ts';

/** What many rehearsals have shown, the worst first: where a change could help. */
export interface Trouble {
  /** Limits that were broken. */
  readonly windows: readonly Window[];
  /** Steps on the path that made it late. */
  readonly late: readonly Step[];
  /** Steps that waited for hands, tools or an oven. */
  readonly clashes: readonly { readonly step: Step; readonly reason: Reason; readonly item?: string }[];
}

/** A change to be tried, and how it is called: `with a second mixer`. */
export interface Candidate {
  readonly change: Change;
  readonly words: string;
}

/** Of each kind no more are tried than this: nobody has the evening. */
const EACH = 3;

/** Changes that could help, those of the gravest trouble first. */
export function candidates(setup: RunSetup, trouble: Trouble): readonly Candidate[] {
  return [
    ...[minutes(10), minutes(20)].map((by): Candidate => ({
      change: { kind: 'ready earlier', by },
      words: `with everything planned to be ready ${roughly(by)} earlier`,
    })),
    ...trouble.windows.flatMap((window) => longer(setup, window)).slice(0, EACH),
    ...moreOfKitchen(setup, trouble),
    ...trouble.late.slice(0, EACH).flatMap((step) => (step.length.kind === 'rest' ? sooner(step) : [])),
    ...trouble.late
      .filter(hasRange)
      .slice(0, EACH)
      .map((step) => steadier(step)),
  ];
}

/** `cream: thicken`. */
export const named = ({ component, name }: Step): string => `${component}: ${name}`;

const hasRange = ({ length }: Step): boolean =>
  length.kind !== 'rest' && length.range.low < length.range.high;

function steadier(step: Step): Candidate {
  return {
    change: { kind: 'steadier', step: step.id },
    words: `if ${named(step)} strayed half as far from its usual length`,
  };
}

/** A tenth less of what a rest needs: a thinner layer, a colder place. */
function sooner(step: Step): Candidate[] {
  const atLeast = step.length.kind === 'rest' ? step.length.atLeast : 0;
  const by = seconds(Math.round(atLeast / 600) * 60);
  if (by < 60) return [];
  return easier(
    { kind: 'shorter', step: step.id, by },
    `if ${named(step)} wanted only ${roughly(seconds(atLeast - by))} instead of ${roughly(seconds(atLeast))}`,
  );
}

/** A quarter more, in whole minutes, and five minutes at least. */
const more = (limit: number): Seconds => seconds(Math.max(300, Math.round(limit / 240) * 60));

/** A limit that was broken, with a little more of it. */
function longer({ workload }: RunSetup, { kind, steps }: Window): Candidate[] {
  const [first, last] = [steps[0], steps.at(-1)];
  const all = workload.components.flatMap((component) =>
    component.steps.map((step) => ({ component, step })),
  );
  const find = (id: StepId | undefined) => all.find(({ step }) => step.id === id);
  switch (kind) {
    case 'within': {
      const step = find(last)?.step;
      if (step?.within === undefined) return [];
      const by = more(step.within);
      return easier(
        { kind: 'wait longer', step: step.id, by },
        `if ${named(step)} might wait ${roughly(seconds(step.within + by))} instead of ${step.within === 0 ? 'following at once' : roughly(step.within)}`,
      );
    }
    case 'rest': {
      const step = find(first)?.step;
      if (step?.length.kind !== 'rest' || step.length.atMost === undefined) return [];
      const { atMost } = step.length;
      const by = more(atMost);
      return easier(
        { kind: 'rest longer', step: step.id, by },
        `if ${named(step)} might last ${roughly(seconds(atMost + by))} instead of ${roughly(atMost)}`,
      );
    }
    case 'keeps': {
      const component = find(first)?.component;
      if (component?.keeps === undefined) return [];
      const by = more(component.keeps);
      return easier(
        { kind: 'keep longer', component: component.id, by },
        `if ${component.id} kept ${roughly(seconds(component.keeps + by))} instead of ${roughly(component.keeps)}`,
      );
    }
    case 'cooling':
    case 'door':
    case 'service':
      return [];
  }
}

type Easier = Extract<Change, { kind: 'easier' }>;

const easier = (easing: Easier['easing'], words: string): Candidate[] => [
  { change: { kind: 'easier', easing, timetable: 'as told' }, words },
];

/** More hands and tools, where something waited for them: with the timetable that is there, and with one made for them. */
function moreOfKitchen({ workload: { kitchen } }: RunSetup, { clashes }: Trouble): Candidate[] {
  const waits = (hands: Step['hands']): boolean =>
    clashes.some(({ step, reason }) => reason === 'hands' && step.hands === hands);
  const items = [...new Set(clashes.flatMap(({ item }) => item ?? []))].slice(0, EACH);
  const found: { readonly easing: Easier['easing']; readonly words: string }[] = [
    ...(waits('busy')
      ? [{ easing: { kind: 'more cooks', by: 1 } as const, words: 'with one more pair of hands' }]
      : []),
    ...(waits('near')
      ? [
          {
            easing: { kind: 'more near steps', by: 1 } as const,
            words: `if ${kitchen.near + 1} near steps might run at once`,
          },
        ]
      : []),
    ...items.map((item) => ({
      easing: { kind: 'more of an item', item, by: 1 } as const,
      words: `with one more ${item}`,
    })),
  ];
  return found.flatMap(({ easing, words }) => [
    { change: { kind: 'easier', easing, timetable: 'as told' }, words },
    { change: { kind: 'easier', easing, timetable: 'new' }, words: `${words} and a timetable made for it` },
  ]);
}
