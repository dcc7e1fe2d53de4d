import { stepId, type Component, type Step, type StepId, type Workload } from '../../plan/index.ts';
import { seconds } from '../../units/index.ts';
import { lengthBounds } from '../drafting.ts';
import { isSwap } from './batch.ts';
import type { Derived, Made } from './derive.ts';
import { TO_PLACES } from './frame.ts';

/** What is worked on off view is ready so long before it is wanted, beside what nature may take longer: somebody carries it over. */
const TO_HAND_OVER = 30;

/** How much of the slack that is wanted is asked for. A timetable with more of it comes before one with less. */
export const SHARES = [1, 0.5, 0] as const;
export type Share = (typeof SHARES)[number];

/**
 * The workload that the timetable is made from, so that the evening may be slower than usual.
 *
 * - Each step off view is planned with its longest length. Where that is more than may pass before the next step, half of what
 *   may pass is planned, or as much as is left of it when the step is over early; what is missing is made up for after the steps that follow.
 * - Whatever is worked on off view is ready half a minute before it is wanted.
 * - What may wait so long is ready the plan's margin before everybody goes to their places.
 * - Between two showings there is only so much time, and no more of it is planned.
 *
 * A timetable of it has the starts and the rests of one of the derived workload.
 */
export function slackened(derived: Derived, share: Share): Workload {
  const { workload } = derived;
  const [plan] = workload.plans;
  if (share === 0 || !plan) return workload;
  const made = new Map([...derived.made.values()].map((each) => [each.component.id, each]));
  const early: StepId[] = [];
  const components = workload.components.map((component) => {
    const of = made.get(component.id);
    return of ? new Slackened(derived, of, component, share, early).component() : component;
  });
  if (early.length === 0) return { ...workload, components };
  const margin = share * derived.margin;
  return {
    ...workload,
    components: components.map((component) =>
      component.steps.some(({ id }) => id === derived.places)
        ? { ...component, steps: [inHand(component, margin, early), ...component.steps] }
        : component,
    ),
  };
}

/** What waits for the evening has waited so long when everybody goes to their places. */
function inHand({ id, steps }: Component, margin: number, early: readonly StepId[]): Step {
  const [places] = steps;
  if (!places) throw new Error(`${id} has no steps`);
  const lasts = seconds(Math.ceil(margin));
  return {
    ...places,
    id: stepId(id, 'in hand'),
    name: 'in hand',
    hands: 'free',
    length: { kind: 'takes', range: { low: lasts, usual: lasts, high: lasts } },
    needs: early,
  };
}

/** Gives the steps of one component their slack, in order. */
class Slackened {
  readonly #derived: Derived;
  readonly #made: Made;
  readonly #component: Component;
  readonly #share: Share;
  /** Gets the steps that are to be over the margin before places. */
  readonly #early: StepId[];
  /** Slack that is wanted and not given yet, and how early what is done may be. */
  #wanted = 0;
  #hasty = 0;
  /** What is left of the time between two showings. */
  #budget = Infinity;

  constructor(derived: Derived, made: Made, component: Component, share: Share, early: StepId[]) {
    this.#derived = derived;
    this.#made = made;
    this.#component = component;
    this.#share = share;
    this.#early = early;
  }

  component(): Component {
    const { pieces } = this.#made;
    let taken = 0;
    const steps = this.#component.steps.map((step, place): Step => {
      const begun = step.within === undefined ? step : { ...step, within: seconds(step.within - taken) };
      taken = 0;
      const piece = pieces[place];
      if (!piece || piece.slot) {
        this.#startAgain(place);
        return begun;
      }
      const by = step.length.kind === 'rest' ? this.#rest(step, place) : this.#work(step, place);
      if (step.length.kind !== 'rest') taken = by;
      return { ...begun, length: longer(step, by) };
    });
    const { keeps, ...rest } = this.#component;
    return { ...rest, steps, ...(keeps !== undefined && { keeps: seconds(keeps - taken) }) };
  }

  /** After a showing: what is carried on has the time until it is shown again. */
  #startAgain(place: number): void {
    const { pieces } = this.#made;
    [this.#wanted, this.#hasty, this.#budget] = [0, 0, Infinity];
    const next = pieces.findIndex(({ slot }, at) => at > place && slot !== undefined);
    const [from, to] = [pieces[place]?.slot, pieces[next]?.slot];
    if (!from || !to) return;
    const between = this.#component.steps.slice(place + 1, next + 1);
    const needed = between.map(
      (step, at) => Math.ceil(step.after) + (place + 1 + at === next ? 0 : lengthBounds(step).least),
    );
    this.#budget = Math.max(0, to.from - from.to - needed.reduce((sum, each) => sum + each, 0));
  }

  #work(step: Step, place: number): number {
    const isLast = this.#isLast(place);
    const { low, usual, high } = rangeOf(step);
    this.#wanted += this.#share * (Math.ceil(high) - Math.ceil(usual) + (isLast ? TO_HAND_OVER : 0));
    this.#hasty += Math.ceil(usual) - Math.floor(low);
    const wait = this.#waitAfter(place);
    const fits = wait === Infinity ? Infinity : Math.max(wait / 2, wait - this.#hasty);
    const by = Math.floor(Math.max(0, Math.min(this.#wanted, fits, this.#budget)));
    this.#wanted -= by;
    this.#budget -= by;
    this.#hasty = Math.max(0, this.#hasty + by - wait);
    const toAir = this.#untilAir(place);
    if (toAir !== undefined && wait - this.#hasty - by >= toAir) this.#early.push(step.id);
    return by;
  }

  #rest(step: Step, place: number): number {
    const { least, most } = lengthBounds(step);
    if (this.#isLast(place)) this.#wanted += this.#share * TO_HAND_OVER;
    const room = Math.min(most - least, this.#budget);
    const needed = Math.min(room, Math.ceil(this.#wanted));
    const early = this.#untilAir(place) ?? 0;
    const by = Math.max(0, needed + early <= room ? needed + early : needed);
    [this.#wanted, this.#hasty] = [Math.max(0, this.#wanted - by), 0];
    this.#budget -= by;
    return by;
  }

  /** It is what is shown next, fetched or used. */
  #isLast(place: number): boolean {
    const next = this.#made.pieces[place + 1];
    return next === undefined || next.slot !== undefined;
  }

  /** How long what is done may wait at the most. */
  #waitAfter(place: number): number {
    const { steps, keeps } = this.#component;
    const next = steps[place + 1];
    if (next) return next.within === undefined ? Infinity : Math.floor(next.within);
    if (keeps === undefined) return Infinity;
    const own = steps[place]?.id;
    const users = this.#derived.workload.components
      .flatMap((component) => component.steps)
      .filter(({ needs }) => own !== undefined && needs.includes(own));
    return Math.max(0, Math.floor(keeps) - Math.max(0, ...users.map((user) => lengthBounds(user).least)));
  }

  /** For the last step of a swap: from the margin before places until the swap is wanted. */
  #untilAir(place: number): number | undefined {
    const { batch, pieces } = this.#made;
    if (!isSwap(batch) || !pieces[place]?.ahead || pieces[place + 1]?.ahead) return undefined;
    return batch.origin.slot.from + TO_PLACES + this.#share * this.#derived.margin;
  }
}

function rangeOf({ length }: Step): { readonly low: number; readonly usual: number; readonly high: number } {
  if (length.kind === 'rest') throw new Error('a rest has no range');
  return length.range;
}

function longer({ length }: Step, by: number): Step['length'] {
  if (by === 0) return length;
  if (length.kind === 'rest') return { ...length, atLeast: seconds(Math.ceil(length.atLeast) + by) };
  const planned = seconds(Math.ceil(length.range.usual) + by);
  return { kind: 'takes', range: { low: planned, usual: planned, high: planned } };
}
