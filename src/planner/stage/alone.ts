import { roughly, seconds, type EpochMs } from '../../units/index.ts';
import type { PlanResult, Refusal } from '../plan.ts';
import { firstTimetable } from './first-timetable.ts';
import type { Slot } from './slots.ts';
import { derive, type Stage } from './derive.ts';
import { reasonsFor } from './reasons.ts';
import { slackened } from './slack.ts';
import { carriedAlone, finals, swapAlone, type Question, type Story, type Wanted } from './story.ts';

/** Work that is enough to see whether one copy, or one thing that is carried on, can be right at its minute. */
const A_LOOK = 100_000;
/** And for saying why it cannot. */
const A_REASON = 400_000;

/** How everything off view is taken to go. */
type Going = 'as usual' | 'at its longest';

/** What a showing wants, and the showings from which it could be carried on. */
interface Forced {
  readonly wanted: Wanted;
  readonly since: readonly Slot[];
}

/**
 * Looks at single copies, and at single things that are carried on, as if there were nothing else in the demonstration. What
 * cannot be right alone can never be.
 */
export class Alone {
  readonly #stage: Stage;
  readonly #ends: EpochMs;
  readonly #known = new Map<string, boolean>();

  constructor(stage: Stage, ends: EpochMs) {
    this.#stage = stage;
    this.#ends = ends;
  }

  /** Whether a question could be answered so, as far as can be seen. */
  possible(question: Question, carried: boolean): boolean {
    return this.#answered(question, carried, 'as usual');
  }

  /** The same, but what could be carried on only if nothing takes long is fetched, where that has time in hand. */
  wise(question: Question, carried: boolean): boolean {
    if (!this.possible(question, carried)) return false;
    return (
      !carried ||
      this.#answered(question, true, 'at its longest') ||
      !this.#answered(question, false, 'at its longest')
    );
  }

  #answered(question: Question, carried: boolean, going: Going): boolean {
    const { slot, component, since, wants, index } = question;
    if (wants === 'together')
      return this.#together({ ...question, use: question.use ?? 'shown' }) === carried;
    if (carried && !since) return true;
    if (wants === 'needed' && !this.#takenAlong(question)) return true;
    const key = `${slot.number} ${component.id} ${wants} ${index} ${carried ? (since?.number ?? '') : 'swap'} ${going}`;
    const known =
      this.#known.get(key) ??
      this.#look(this.#story({ ...question, use: wants }, carried ? since : undefined), going);
    this.#known.set(key, known);
    return known;
  }

  /** Why each copy that cannot be done without is never right; nothing where each could be. */
  hopeless(): Refusal[] {
    return this.#forced().flatMap(({ wanted, since }): Refusal[] => {
      const swap = this.#story(wanted);
      if (this.#look(swap)) return [];
      if (since.some((before) => this.#look(this.#story(wanted, before)))) return [];
      const why = this.#reasons(swap);
      const last = since.at(-1);
      const on = last && this.#reasons(this.#story(wanted, last));
      const messages = [
        `${wantedWords(wanted)}: no copy can be right for it: ${told(why)}`,
        ...(on
          ? [
              `what was shown of it ${at(last)} cannot be carried on in the ${roughly(seconds(wanted.slot.from - last.to))} between: ${told(on)}`,
            ]
          : []),
      ];
      return [
        {
          message: messages.join('; '),
          steps: why.flatMap(({ steps }) => steps),
          places: [wanted.slot.show.place, ...why.flatMap(({ places }) => places)],
        },
      ];
    });
  }

  /** What showings want that was never begun on the table, or could be carried on from an earlier showing. */
  #forced(): Forced[] {
    const { workload, slots } = this.#stage;
    return slots.flatMap((slot): Forced[] => {
      const { show } = slot;
      if (show.kind === 'beauty')
        return finals(workload).map((component) => ({
          wanted: { slot, component, index: component.steps.length - 1, use: 'beauty' },
          since: [],
        }));
      if (show.kind !== 'step') return [];
      const component = workload.components.find(({ steps }) => steps.some(({ id }) => id === show.step));
      if (!component) return [];
      const index = component.steps.findIndex(({ id }) => id === show.step);
      const since = slots
        .slice(0, slot.number)
        .filter(
          (other) =>
            other.show.kind === 'step' &&
            component.steps.some(({ id }) => other.show.kind === 'step' && id === other.show.step),
        );
      // Whatever is begun on the table is there.
      if (since.length === 0 && index === 0 && show.part !== 'last') return [];
      return [{ wanted: { slot, component, index, use: 'shown' }, since }];
    });
  }

  /** Whether the showing itself takes it along; if not, work off view before it does. */
  #takenAlong({ slot, component, index }: Question): boolean {
    const { show } = slot;
    if (show.kind !== 'step') return false;
    const steps = this.#stage.workload.components.flatMap((each) => each.steps);
    const needed = component.steps[index]?.id;
    return steps.some(({ id, needs }) => id === show.step && needed !== undefined && needs.includes(needed));
  }

  #story(wanted: Wanted, since?: Slot): Story {
    const { workload, slots } = this.#stage;
    return since
      ? carriedAlone(workload, slots, since, wanted)
      : swapAlone(workload, slots, wanted, this.#together(wanted));
  }

  /** Whether a copy and its backup can be made together; where they cannot, each has a making of its own. */
  #together(wanted: Wanted): boolean {
    const { slot, component, index, use } = wanted;
    const { workload, slots, demonstration } = this.#stage;
    if (!demonstration.backups.includes(component.id)) return true;
    const key = `${slot.number} ${component.id} ${use} ${index} together`;
    const known = this.#known.get(key) ?? this.#look(swapAlone(workload, slots, wanted, true));
    this.#known.set(key, known);
    return known;
  }

  #look(story: Story, going: Going = 'as usual'): boolean {
    return this.#ask(story, going).status !== 'infeasible';
  }

  #reasons(story: Story): readonly Refusal[] {
    return reasonsFor(derive(this.#stage, story), this.#ends, A_REASON);
  }

  #ask(story: Story, going: Going): PlanResult {
    const derived = derive(this.#stage, story);
    const workload = going === 'as usual' ? derived.workload : slackened(derived, () => 1, 'all');
    return firstTimetable(workload, { ends: this.#ends, effort: A_LOOK });
  }
}

const told = (reasons: readonly Refusal[]): string => reasons.map(({ message }) => message).join('; ');

const at = ({ from }: Slot): string => `${roughly(seconds(from))} into the air`;

function wantedWords({ slot, component, index }: Wanted): string {
  const step = component.steps[index];
  return `line ${slot.show.place.line}, ${step?.id ?? component.id} ${at(slot)}`;
}
