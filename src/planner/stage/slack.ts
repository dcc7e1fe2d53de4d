import {
  stepId,
  type Component,
  type ComponentId,
  type Step,
  type StepId,
  type Workload,
} from '../../plan/index.ts';
import { seconds } from '../../units/index.ts';
import { lengthBounds } from '../drafting.ts';
import { isSwap } from './batch.ts';
import type { Derived, Made } from './derive.ts';
import { TO_PLACES } from './frame.ts';

/** Beside what nature may take longer, so long before it is wanted is it to be ready: somebody carries it over. */
const TO_HAND_OVER = 30;
/** Beside what nature may take less, so much later may it be wanted: on air it is seldom on time to the second. */
const MAY_BE_LATE = 60;

/** How much of the slack that it wants each component of a derived workload is asked to have: all, half of it, or none. */
export type Shares = (component: ComponentId) => 1 | 0.5 | 0;

/**
 * The workload that the timetable is made from, so that the evening may be slower than usual.
 *
 * - Each step off view is planned with its longest length. Where that is more than may pass before the next step, half of what
 *   may pass is planned, or as much as is left of it when the step is over early; what is missing is made up for after the steps that follow.
 * - Whatever is worked on off view is ready half a minute before it is wanted, and not so early that it is too old if all goes
 *   fast and it is wanted a minute later.
 * - What may wait so long is ready the plan's margin before everybody goes to their places.
 * - Between two showings there is only so much time, and no more of it is planned.
 *
 * A timetable of it has the starts and the rests of one of the derived workload.
 * @param between whether what is carried on between two showings has only the slack for which there is time, or all that it wants.
 */
export function slackened(
  derived: Derived,
  shares: Shares,
  between: 'what there is' | 'all' = 'what there is',
): Workload {
  const { workload } = derived;
  const made = new Map([...derived.made.values()].map((each) => [each.component.id, each]));
  const early = { 1: [], 0.5: [], 0: [] } satisfies Early;
  const components = workload.components.map((component) => {
    const of = made.get(component.id);
    const share = shares(component.id);
    return of && share > 0
      ? new Slackened(derived, of, component, { share, between }, early[share]).component()
      : component;
  });
  return { ...workload, components: components.map((component) => inHand(component, derived, early)) };
}

/** Steps that are to be over the margin before places, or half of it, by the share of their component. */
type Early = Readonly<Record<1 | 0.5 | 0, StepId[]>>;

/** What waits for the evening has waited so long when everybody goes to their places. */
function inHand(component: Component, { places, margin }: Derived, early: Early): Component {
  const { id, steps } = component;
  const before = steps.find((step) => step.id === places);
  if (!before) return component;
  const lasts = seconds(Math.ceil(margin / 2));
  const halves = ([1, 0.5] as const).map((share): Step => ({
    ...before,
    id: stepId(id, `in hand ${share}`),
    hands: 'free',
    length: { kind: 'takes', range: { low: lasts, usual: lasts, high: lasts } },
    needs: early[share],
  }));
  const from = halves.findIndex(({ needs }) => needs.length > 0);
  return from < 0 ? component : { ...component, steps: [...halves.slice(from), ...steps] };
}

/** How much longer a step is planned, and how much less what follows may wait. */
interface Given {
  readonly by: number;
  readonly after: number;
}

/** Gives the steps of one component their slack, in order. */
class Slackened {
  readonly #derived: Derived;
  readonly #made: Made;
  readonly #component: Component;
  readonly #share: number;
  readonly #between: 'what there is' | 'all';
  /** Gets the steps that are to be over the margin before places. */
  readonly #early: StepId[];
  /** Slack that is wanted and not given yet, and how early what is done may be. */
  #wanted = 0;
  #hasty = 0;
  /** It is between two showings; what is left of the time between them. */
  #isLive = false;
  #budget = Infinity;

  constructor(
    derived: Derived,
    made: Made,
    component: Component,
    { share, between }: { readonly share: number; readonly between: 'what there is' | 'all' },
    early: StepId[],
  ) {
    this.#derived = derived;
    this.#made = made;
    this.#component = component;
    this.#share = share;
    this.#between = between;
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
      const { by, after } = step.length.kind === 'rest' ? this.#rest(step, place) : this.#work(step, place);
      taken = after;
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
    this.#isLive = from !== undefined && to !== undefined;
    if (!from || !to || this.#between === 'all') return;
    const between = this.#component.steps.slice(place + 1, next + 1);
    const needed = between.map(
      (step, at) => Math.ceil(step.after) + (place + 1 + at === next ? 0 : lengthBounds(step).least),
    );
    this.#budget = Math.max(0, to.from - from.to - needed.reduce((sum, each) => sum + each, 0));
  }

  #work(step: Step, place: number): Given {
    const isLast = this.#isLast(place);
    const { low, usual, high } = rangeOf(step);
    this.#wanted += this.#share * (Math.ceil(high) - Math.ceil(usual) + (isLast ? TO_HAND_OVER : 0));
    this.#hasty += Math.ceil(usual) - Math.floor(low);
    const wait = this.#waitAfter(place);
    const fits = wait === Infinity ? Infinity : Math.max(wait / 2, wait - this.#hasty);
    const by = Math.floor(Math.max(0, Math.min(this.#wanted, fits, this.#budget)));
    this.#wanted -= by;
    const isFetched = isLast && !this.#isLive;
    this.#budget -= by;
    // What is fetched is fetched at its minute; what goes on off view can go on earlier.
    const kept = isFetched ? Math.floor(Math.min(this.#share * (this.#hasty + MAY_BE_LATE), wait - by)) : 0;
    this.#hasty = Math.max(0, this.#hasty + by - wait);
    const toAir = this.#untilAir(place);
    if (toAir !== undefined && wait - by - kept >= toAir) this.#early.push(step.id);
    return { by, after: by + kept };
  }

  #rest(step: Step, place: number): Given {
    const { least, most } = lengthBounds(step);
    if (this.#isLast(place)) this.#wanted += this.#share * TO_HAND_OVER;
    const room = Math.min(most - least, this.#budget);
    const needed = Math.min(room, Math.ceil(this.#wanted));
    const early = this.#untilAir(place) ?? 0;
    const by = Math.max(0, needed + early <= room ? needed + early : needed);
    [this.#wanted, this.#hasty] = [Math.max(0, this.#wanted - by), 0];
    this.#budget -= by;
    return { by, after: 0 };
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
    const copy = batch.origin.kind === 'backup' ? batch.origin.of : batch;
    if (!isSwap(copy) || !pieces[place]?.ahead || pieces[place + 1]?.ahead) return undefined;
    return copy.origin.slot.from + TO_PLACES + this.#share * this.#derived.margin;
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
