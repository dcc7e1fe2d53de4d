import {
  componentId,
  stepId,
  type Component,
  type ComponentId,
  type Demonstration,
  type HeldClaim,
  type Plan,
  type Step,
  type StepId,
  type Workload,
} from '../../plan/index.ts';
import { seconds, type Seconds } from '../../units/index.ts';
import { lengthBounds } from '../drafting.ts';
import type { Slot } from './slots.ts';
import { frameOf } from './frame.ts';
import { onStage } from './ovens.ts';
import { isSwap, letters, needKey, swapOf, type Batch } from './batch.ts';
import { piecesOf, type Piece } from './pieces.ts';
import type { Story } from './story.ts';

/** A batch as a component of the derived workload. */
export interface Made {
  readonly batch: Batch;
  readonly component: Component;
  /** Those of its steps, in the same order. */
  readonly pieces: readonly Piece[];
}

/** A story as an ordinary workload: its plan is served when the demonstration ends. */
export interface Derived {
  readonly workload: Workload;
  readonly made: ReadonlyMap<Batch, Made>;
  /** The step that is each showing, in order. */
  readonly showings: readonly StepId[];
  /** From here to service it is on air. */
  readonly onAir: StepId;
  /** Everybody to their places. */
  readonly places: StepId;
  /** The components that no plan has: the air time, and talks, breaks and the beauty. */
  readonly frame: ReadonlySet<ComponentId>;
  /** How long before everybody goes to their places what may wait is to be ready: the plan's margin. */
  readonly margin: Seconds;
}

/** What a demonstration is derived from. */
export interface Stage {
  readonly workload: Workload;
  readonly demonstration: Demonstration;
  readonly helper: boolean;
  readonly slots: readonly Slot[];
}

export const copiesOf = (batch: Batch, { backups }: Demonstration): number => {
  const swap = swapOf(batch);
  return swap && backups.includes(swap.component.id) && swap.origin.backups.length === 0 ? 2 : 1;
};

/**
 * Makes the workload of a story. Each batch is a component: what is made of it ahead, what is shown of it, and what happens to
 * it off view in between. Showings follow each other by `needs`, and their lengths together are the air time, which ends with
 * service: so each of them stands at its own minute, whatever the planner does with the rest.
 */
export function derive(stage: Stage, story: Story): Derived {
  const { workload, demonstration } = stage;
  const [plan] = workload.plans;
  if (!plan) throw new Error('a demonstration without a plan');
  const names = namesFor(workload, story);
  const frame = frameOf(demonstration, story, names.free);
  const drafts = story.batches.map((batch): Made => {
    const pieces = piecesOf(batch, copiesOf(batch, demonstration), workload.kitchen);
    const made = draft(batch, names.of(batch), onStage(pieces, stage));
    if (batch.origin.kind !== 'backup') return made;
    return waitingLike(made, piecesOf(batch.origin.of, 1, workload.kitchen));
  });
  const made = new Map(drafts.map((each) => [each.batch, each]));
  const showings = story.slots.map((slot) => frame.showing(slot) ?? shownIn(drafts, slot) ?? unseen(slot));
  const before = (slot: Slot): StepId => showings[slot.number - 1] ?? frame.places;
  const linked = drafts.map((each) => link(each, made, before));
  const finished = (slot: Slot): StepId[] =>
    (story.beauties.get(slot) ?? []).flatMap((batch) =>
      [batch, ...batch.origin.backups].flatMap((each) => made.get(each)?.component.steps.at(-1)?.id ?? []),
    );
  const components = [
    frame.air,
    ...frame.stage((slot) => [before(slot), ...finished(slot)]),
    ...linked.map(({ component }) => component),
  ];
  const needed = new Set(components.flatMap(({ steps }) => steps.flatMap((step) => step.needs)));
  const kept = components.map((component) =>
    component === frame.air ? component : keeping(component, needed),
  );
  const { demonstration: _shown, serve: _serve, ...rest } = plan;
  // What is made ahead is made close before it goes on air, unless the plan prefers otherwise.
  const prefer = plan.prefer ?? (['day', 'fresh'] as const);
  const derived: Plan = { ...rest, prefer, margin: seconds(0), components: kept.map(({ id }) => id) };
  return {
    workload: {
      kitchen: { ...workload.kitchen, cooks: stage.helper ? 2 : 1 },
      plans: [derived],
      components: kept,
    },
    made: new Map(linked.map((each) => [each.batch, each])),
    showings,
    onAir: frame.onAir,
    places: frame.places,
    frame: new Set([frame.air.id, frame.stageId]),
    margin: plan.margin,
  };
}

const unseen = (slot: Slot): never => {
  throw new Error(`nobody shows showing ${slot.number + 1}`);
};

function shownIn(all: readonly Made[], slot: Slot): StepId | undefined {
  for (const { component, pieces } of all) {
    const place = pieces.findIndex((piece) => piece.slot === slot);
    if (place >= 0) return component.steps[place]?.id;
  }
  return undefined;
}

interface Names {
  readonly of: (batch: Batch) => string;
  readonly free: (name: string) => string;
}

/** `shells` is what is begun on the table, `shells A` the swap A, `lids for A` what goes into it. */
function namesFor({ components }: Workload, { batches, alone }: Story): Names {
  const taken = new Set<string>();
  const plain = new Set(components.map(({ name }) => name));
  const free = (wanted: string): string => {
    let name = wanted;
    for (let count = 2; taken.has(name); count += 1) name = `${wanted} ${count}`;
    taken.add(name);
    return name;
  };
  const names = new Map<Batch, string>();
  for (const batch of batches) {
    const { name } = batch.component;
    const swap = alone ? undefined : swapOf(batch);
    const letter = swap ? letters(swap.origin.number) : '';
    names.set(batch, free(swap === undefined ? name : copyName(name, letter, batch)));
  }
  for (const name of plain) taken.add(name);
  return { of: (batch) => names.get(batch) ?? batch.component.name, free };
}

/** `shells A`, `shells A backup` where that has a making of its own, or `lids for A`. */
function copyName(name: string, letter: string, batch: Batch): string {
  if (isSwap(batch)) return `${name} ${letter}`;
  return batch.origin.kind === 'backup' ? `${name} ${letter} backup` : `${name} for ${letter}`;
}

function draft(batch: Batch, name: string, pieces: readonly Piece[]): Made {
  const id = componentId(name);
  const swap = swapOf(batch);
  const { component } = batch;
  const letter = swap ? letters(swap.origin.number) : '';
  const title = swap === undefined ? component.title : copyName(component.title, letter, batch);
  const steps = pieces.map(({ step }): Step => ({ ...step, id: stepId(id, step.name), component: id }));
  const { keeps, ...rest } = component;
  const whole = pieces.at(-1)?.index === component.steps.length - 1;
  return {
    batch,
    pieces,
    component: { ...rest, id, name, title, plan: 0, steps, ...(whole && keeps !== undefined && { keeps }) },
  };
}

/** A backup waits no longer for what takes it than the copy beside it, whose pieces these are. */
function waitingLike(made: Made, pieces: readonly Piece[]): Made {
  const user = pieces.find(({ ahead }) => !ahead)?.step;
  if (!user) return made;
  const { keeps: _keeps, ...component } = made.component;
  const { within } = user;
  return {
    ...made,
    component: {
      ...component,
      ...(within !== undefined && { keeps: seconds(within + lengthBounds(user).least) }),
    },
  };
}

/** Looks up what each step needs and holds among the batches, and puts each showing after the one before it. */
function link(each: Made, made: ReadonlyMap<Batch, Made>, before: (slot: Slot) => StepId): Made {
  const { batch, component, pieces } = each;
  const steps = component.steps.map((step, place): Step => {
    const piece = pieces[place];
    if (!piece) return step;
    const needs = step.needs.flatMap((needed) => {
      const provider = batch.providers.get(needKey(piece.index, needed));
      if (!provider) return [];
      return [provider.batch, ...backupsOf(provider.batch)].flatMap(
        (each) => lastOf(made.get(each), provider.index) ?? [],
      );
    });
    // With a copy stands its backup.
    const isFetched = place > 0 && !piece.ahead && pieces[place - 1]?.ahead === true;
    const backups = isFetched
      ? backupsOf(batch).flatMap((each) => made.get(each)?.component.steps.at(-1)?.id ?? [])
      : [];
    const chained = piece.slot
      ? [before(piece.slot)].filter((id) => id !== component.steps[place - 1]?.id)
      : [];
    return {
      ...step,
      needs: [...new Set([...needs, ...backups, ...chained])],
      holds: piece.begins ? step.holds.flatMap((held) => heldUntil(held, each, place, made) ?? []) : [],
    };
  });
  return { ...each, component: { ...component, steps } };
}

const backupsOf = (batch: Batch): readonly Batch[] => (isSwap(batch) ? batch.origin.backups : []);

/** The step of a batch that ends the given step of the plan. */
function lastOf(made: Made | undefined, index: number): StepId | undefined {
  const place = made?.pieces.findLastIndex((piece) => piece.index === index) ?? -1;
  return made?.component.steps[place]?.id;
}

/** What is held is held until the step that the plan names, or as long as anything happens to the batch. */
function heldUntil(
  held: HeldClaim,
  each: Made,
  place: number,
  made: ReadonlyMap<Batch, Made>,
): HeldClaim | undefined {
  const own = each.batch.component.steps.findIndex(({ id }) => id === held.until);
  if (own >= 0) {
    const until = lastOf(each, own) ?? each.component.steps.at(-1)?.id;
    return until === undefined || until === each.component.steps[place]?.id ? undefined : { ...held, until };
  }
  for (const user of made.values()) {
    const index = user.batch.component.steps.findIndex(({ id }) => id === held.until);
    if (index < 0 || ![...user.batch.providers.values()].some(({ batch }) => batch === each.batch)) continue;
    const until = lastOf(user, index) ?? user.component.steps.at(-1)?.id;
    if (until !== undefined) return { ...held, until };
  }
  const last = each.component.steps.at(-1)?.id;
  return last === undefined || last === each.component.steps[place]?.id
    ? undefined
    : { ...held, until: last };
}

/** What is finished keeps as long as the plan says until it is used; what nobody takes from the table is not judged. */
function keeping(component: Component, needed: ReadonlySet<StepId>): Component {
  const { keeps: _keeps, ...rest } = component;
  const last = component.steps.at(-1);
  return last && needed.has(last.id) ? component : rest;
}
