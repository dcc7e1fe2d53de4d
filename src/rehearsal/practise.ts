import type { BenchState } from '../bench/index.ts';
import { componentNames } from '../plan/index.ts';
import { roughly, seconds, type Seconds } from '../units/index.ts';
import type { LateAnswer, Missed } from './missed.ts';

/** What is to be practised, and how much it weighs: about the minutes it cost, or puts at stake. */
interface Lesson {
  readonly weight: number;
  readonly words: string;
}

/** What a broken window, an opened door and a step ended too early weigh beside minutes of margin, s. */
const WINDOW_S = 1800;
const DOOR_S = 600;
const EARLY_S = 300;
/** An alarm that was raised just before the end is no lesson. */
const UNHEARD_S = 60;
/** Lateness that cost nothing weighs little. */
const IDLE = 0.1;

/** The one thing that would have helped most, in a sentence. */
export function toPractise(found: Omit<Missed, 'practise'>, { setup }: BenchState): string {
  const { windows, doors, early, late, alarms } = found;
  const lessons: Lesson[] = [];
  const [worst] = windows.toSorted((a, b) => b.by - a.by);
  if (worst)
    lessons.push({
      weight: WINDOW_S + worst.by,
      words: `keep this window: ${worst.words}. It was overstepped by ${roughly(worst.by)}; its row on the board counts down while it waits`,
    });
  if (doors.length > 0)
    lessons.push({
      weight: DOOR_S * doors.length,
      words: `leave the door of the ${doors[0]?.oven ?? 'oven'} shut until the board unlocks it`,
    });
  const [hasty] = early.toSorted((a, b) => b.by - a.by);
  const step = setup.workload.components.flatMap(({ steps }) => steps).find(({ id }) => id === hasty?.step);
  if (hasty && step) {
    const name = componentNames(setup.workload).get(step.component) ?? '';
    lessons.push({
      weight: EARLY_S + hasty.by,
      words: `wait until it is so: ${name}: ${step.name} was called done ${roughly(hasty.by)} before it looked it`,
    });
  }
  lessons.push(...latenessLessons(late));
  const unheard = alarms.filter(({ how, after }) => how === 'standing' && after >= UNHEARD_S).length;
  if (unheard > 0)
    lessons.push({
      weight: 60 * unheard,
      words: 'say heard to an alarm once you have read what it asks for',
    });
  const [heaviest] = lessons.toSorted((a, b) => b.weight - a.weight);
  return heaviest?.words ?? 'nothing was missed: next time make something go wrong (e), or take another seed';
}

const ABOUT = {
  start: 'begin what is called at once',
  done: 'look at what is nearly done sooner',
  'oven set': 'turn the knob when it is called',
  turn: 'turn what is called',
  'timer done': 'answer your timers',
  served: 'serve when it is time',
} as const satisfies Record<LateAnswer['asks'], string>;

/** One lesson for each kind of call that was answered late. */
function latenessLessons(late: readonly LateAnswer[]): Lesson[] {
  const kinds = [...new Set(late.map(({ asks }) => asks))];
  return kinds.flatMap((asks): Lesson[] => {
    const of = late.filter((each) => each.asks === asks);
    const [worst] = of.toSorted((a, b) => b.late - a.late);
    if (!worst) return [];
    const total = of.reduce((sum, each) => sum + (each.cost ?? each.late * IDLE), 0);
    const cost = of.reduce((sum, each) => sum + (each.cost ?? 0), 0);
    const times = of.length === 1 ? 'once' : `${of.length} times`;
    const paid = cost >= 60 ? `, and that cost ${roughly(seconds(cost) satisfies Seconds)} of margin` : '';
    return [
      {
        weight: total,
        words: `${ABOUT[asks]}: late ${times}, at most ${roughly(worst.late)} (${worst.call})${paid}`,
      },
    ];
  });
}
