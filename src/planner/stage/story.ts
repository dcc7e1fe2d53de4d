import type { Component, ComponentId, ShownPart, Step, StepId, Workload } from '../../plan/index.ts';
import type { Slot } from './slots.ts';
import { isSwap, needKey, type Batch, type SwapBatch, type SwapOrigin } from './batch.ts';

/** What the planner may decide: whether something that was on the table is carried on, or a copy is fetched. */
export interface Question {
  /** The showing that wants it. */
  readonly slot: Slot;
  readonly component: Component;
  /** The showing in which it was on the table last; nothing where it was fetched for another component. */
  readonly since?: Slot;
  /**
   * shown: it is to stand before this step, or within it. needed: this step is to be over. together: a copy and its backup are
   * wanted, and could be made in one making.
   */
  readonly wants: 'shown' | 'needed' | 'together';
  /** Of what is to be made together: what for. */
  readonly use?: SwapOrigin['use'];
  readonly index: number;
}

/** True: it is carried on, or made together. False: a copy is fetched, or each has a making of its own. */
export type Decide = (question: Question) => boolean;

/** A demonstration as it could go: who is carried on, and which copies there are. */
export interface Story {
  readonly batches: readonly Batch[];
  readonly slots: readonly Slot[];
  /** The copies that are the finished plate, by showing. */
  readonly beauties: ReadonlyMap<Slot, readonly SwapBatch[]>;
  /** It is only a part, looked at by itself: its copies have no letters. */
  readonly alone?: true;
}

/** The finished plate is made of these: what no other component needs. */
export function finals({ components }: Workload): Component[] {
  const needed = new Set(components.flatMap(({ steps }) => steps.flatMap((step) => step.needs)));
  return components.filter(({ steps }) => !steps.some(({ id }) => needed.has(id)));
}

/** Tells a demonstration from its first showing to its last. */
export function tell(workload: Workload, slots: readonly Slot[], decide: Decide): Story {
  const teller = new Teller(workload, decide);
  const beauties = new Map<Slot, readonly SwapBatch[]>();
  for (const slot of slots) {
    const { show } = slot;
    if (show.kind === 'step') teller.show(slot, show.step, show.part);
    if (show.kind === 'beauty')
      beauties.set(
        slot,
        finals(workload).map((each) => teller.beauty(slot, each)),
      );
  }
  return { batches: teller.batches, slots, beauties };
}

/**
 * A copy for one showing and nothing else: what is never right alone is never right.
 * @param together whether its backup, where one is wanted, is made together with it.
 */
export function swapAlone(
  workload: Workload,
  slots: readonly Slot[],
  wanted: Wanted,
  together: boolean,
): Story {
  const teller = new Teller(workload, ({ wants }) => wants === 'together' && together);
  const { slot, component, index, use } = wanted;
  if (use === 'beauty') {
    const beauty = teller.beauty(slot, component);
    return { batches: teller.batches, slots, beauties: new Map([[slot, [beauty]]]), alone: true };
  }
  if (use === 'needed') teller.needed(slot, component, index);
  else teller.fetched(slot, component, index);
  return { batches: teller.batches, slots, beauties: new Map(), alone: true };
}

/** Something that was on the table, carried on until another showing, and nothing else. */
export function carriedAlone(workload: Workload, slots: readonly Slot[], since: Slot, wanted: Wanted): Story {
  const teller = new Teller(workload, () => true);
  teller.carried(since, wanted);
  return { batches: teller.batches, slots, beauties: new Map(), alone: true };
}

/** What one showing wants of a component. */
export interface Wanted {
  readonly slot: Slot;
  readonly component: Component;
  /** The step that is shown, or that is to be over. */
  readonly index: number;
  readonly use: SwapOrigin['use'];
}

/** Where a step stands. */
interface Spot {
  readonly component: Component;
  readonly step: Step;
  readonly index: number;
}

const partOf = ({ show }: Slot): ShownPart => (show.kind === 'step' ? show.part : 'whole');

class Teller {
  readonly batches: Batch[] = [];
  readonly #decide: Decide;
  readonly #spots: ReadonlyMap<StepId, Spot>;
  /** Of each component what was on the table, or was fetched, last. */
  readonly #latest = new Map<ComponentId, Batch>();
  /** Components of whose swaps a backup is wanted. */
  readonly #doubled: ReadonlySet<ComponentId>;
  #swaps = 0;

  constructor(workload: Workload, decide: Decide) {
    this.#decide = decide;
    this.#doubled = new Set(workload.plans[0]?.demonstration?.backups);
    this.#spots = new Map(
      workload.components.flatMap((component) =>
        component.steps.map((step, index): [StepId, Spot] => [step.id, { component, step, index }]),
      ),
    );
  }

  show(slot: Slot, id: StepId, part: ShownPart): void {
    const { component, index } = this.#spot(id);
    const before = this.#latest.get(component.id);
    const batch = this.#onTable(slot, component, index, part);
    if (part === 'last') this.#goOn(batch, index, slot);
    else {
      if (batch === before) this.#goOn(batch, index - 1, slot);
      this.#provide(batch, index, slot);
    }
    batch.touches.push({ slot, index });
    batch.reached = { index, partly: part === 'first' };
    this.#latest.set(component.id, batch);
  }

  /** A copy that is put on the table, whatever else is shown. */
  fetched(slot: Slot, component: Component, index: number): void {
    const part = partOf(slot);
    const batch = this.#swap(component, { use: 'shown', slot, madeTo: index, inside: part === 'last' });
    batch.touches.push({ slot, index });
    batch.reached = { index, partly: part === 'first' };
  }

  /** A copy that the step shown takes along. */
  needed(slot: Slot, component: Component, index: number): void {
    const swap = this.#swap(component, { use: 'needed', slot, madeTo: index + 1, inside: false });
    this.#user(slot, swap, index);
  }

  /** Something on the table in one showing, and carried on until it is shown or needed in another. */
  carried(since: Slot, { slot, component, index, use }: Wanted): void {
    const batch = this.#add(component, { kind: 'carried' });
    batch.touches.push({ slot: since, index: this.#shownAt(since).index });
    if (use === 'shown') batch.touches.push({ slot, index });
    else this.#user(slot, batch, index);
    batch.reached = { index, partly: use === 'shown' && partOf(slot) === 'first' };
  }

  #user(slot: Slot, batch: Batch, index: number): void {
    const shown = this.#shownAt(slot);
    const needed = batch.component.steps[index];
    const user = this.#add(shown.component, { kind: 'carried' });
    user.touches.push({ slot, index: shown.index });
    user.reached = { index: shown.index, partly: partOf(slot) === 'first' };
    if (needed) user.providers.set(needKey(shown.index, needed.id), { batch, index });
  }

  #shownAt({ show }: Slot): Spot {
    if (show.kind !== 'step') throw new Error('no step is shown');
    return this.#spot(show.step);
  }

  beauty(slot: Slot, component: Component): SwapBatch {
    return this.#swap(component, { use: 'beauty', slot, madeTo: component.steps.length, inside: false });
  }

  #onTable(slot: Slot, component: Component, index: number, part: ShownPart): Batch {
    const before = this.#latest.get(component.id);
    if (!before && index === 0 && part !== 'last') return this.#add(component, { kind: 'table' });
    const since = before?.touches.at(-1)?.slot;
    const goesOn = before && since && before.reached.index <= index;
    if (goesOn && this.#decide({ slot, component, since, wants: 'shown', index })) return before;
    return this.#swap(component, { use: 'shown', slot, madeTo: index, inside: part === 'last' });
  }

  /** Works a batch off view until a step is over, or, of one of which a part has been shown, until its last part. */
  #goOn(batch: Batch, index: number, slot: Slot): void {
    for (let at = batch.reached.index + 1; at <= index; at += 1) this.#provide(batch, at, slot);
    if (index > batch.reached.index) batch.reached = { index, partly: false };
  }

  /** Finds what a step on air needs. */
  #provide(batch: Batch, index: number, slot: Slot): void {
    for (const needed of batch.component.steps[index]?.needs ?? []) {
      const key = needKey(index, needed);
      if (batch.providers.has(key)) continue;
      batch.providers.set(key, { batch: this.#bring(needed, slot), index: this.#spot(needed).index });
    }
  }

  #bring(needed: StepId, slot: Slot): Batch {
    const { component, index } = this.#spot(needed);
    const before = this.#latest.get(component.id);
    const since = before?.touches.at(-1)?.slot;
    // What was fetched ready for another step serves again, and is not worked on.
    const usable = before && (since !== undefined || before.reached.index >= index);
    const question: Question = { slot, component, ...(since && { since }), wants: 'needed', index };
    if (usable && this.#decide(question)) {
      this.#goOn(before, index, slot);
      if (before.reached.index === index) before.reached = { index, partly: false };
      return before;
    }
    const swap = this.#swap(component, { use: 'needed', slot, madeTo: index + 1, inside: false });
    this.#latest.set(component.id, swap);
    return swap;
  }

  #swap(component: Component, wanted: Omit<SwapOrigin, 'kind' | 'number' | 'parts' | 'backups'>): SwapBatch {
    const origin: SwapOrigin = {
      kind: 'swap',
      number: this.#swaps,
      parts: new Map(),
      backups: [],
      ...wanted,
    };
    this.#swaps += 1;
    const swap = this.#add(component, origin);
    if (!isSwap(swap)) throw new Error('a swap is a swap');
    const until = origin.inside ? origin.madeTo : origin.madeTo - 1;
    this.#make(swap, swap, origin.parts, until);
    const { slot, use, madeTo } = origin;
    const index = use === 'shown' ? madeTo : madeTo - 1;
    if (
      this.#doubled.has(component.id) &&
      !this.#decide({ slot, component, wants: 'together', use, index })
    ) {
      const parts = new Map<ComponentId, Batch>();
      const backup = this.#add(component, { kind: 'backup', of: swap, parts });
      this.#make(backup, backup, parts, until);
      origin.backups.push(backup);
    }
    return swap;
  }

  /** Works a batch ahead until a step is over; what it needs goes into the same copy. */
  #make(batch: Batch, copy: Batch, parts: Map<ComponentId, Batch>, index: number): void {
    for (let at = batch.reached.index + 1; at <= index; at += 1)
      for (const needed of batch.component.steps[at]?.needs ?? []) {
        const spot = this.#spot(needed);
        const part = parts.get(spot.component.id) ?? this.#add(spot.component, { kind: 'part', of: copy });
        parts.set(spot.component.id, part);
        this.#make(part, copy, parts, spot.index);
        batch.providers.set(needKey(at, needed), { batch: part, index: spot.index });
      }
    if (index > batch.reached.index) batch.reached = { index, partly: false };
  }

  #add(component: Component, origin: Batch['origin']): Batch {
    const batch: Batch = {
      component,
      origin,
      touches: [],
      reached: { index: -1, partly: false },
      providers: new Map(),
    };
    this.batches.push(batch);
    return batch;
  }

  #spot(id: StepId): Spot {
    const spot = this.#spots.get(id);
    if (!spot) throw new Error(`the workload has no step "${id}"`);
    return spot;
  }
}
