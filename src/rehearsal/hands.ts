import { lastAhead, leftOut, type BenchState, type StageSetup, type StepRun } from '../bench/index.ts';
import type { Kitchen, Step, StepId } from '../plan/index.ts';
import type { Showing } from '../planner/index.ts';
import { epochMs, later, type EpochMs } from '../units/index.ts';

type Running = Extract<StepRun, { state: 'running' }>;

/** A step that is going on, in its component's nth attempt. */
export interface Going {
  readonly step: Step;
  readonly run: Running;
  readonly attempt: number;
}

/** What is going on in the simulated kitchen at one moment, as the cook sees it. */
export interface Scene {
  readonly kitchen: Kitchen;
  readonly going: readonly Going[];
  /** What is kept from one step to a later one, by the component that took it. */
  readonly held: readonly Held[];
  readonly ended: readonly { readonly step: Step; readonly at: EpochMs }[];
  /** Which oven the timetable gives to each oven step. */
  readonly ovenOf: ReadonlyMap<StepId, string>;
  /** Whether a new timetable was taken on the way. */
  readonly isReplanned: boolean;
  /** What an audience sees, where the run is a demonstration. */
  readonly shown: ReadonlyMap<StepId, Shown>;
  /** The showing that should be going, and cannot begin yet. */
  readonly waited?: Waited;
}

interface Waited {
  readonly since: EpochMs;
  /** The work ahead that it cuts short: a copy that is shown before its step is over. */
  readonly copies: ReadonlySet<StepId>;
}

/** A showing as its presenter sees it. */
export interface Shown {
  readonly showing: Showing;
  /** It is the first: everybody is turned to it. */
  readonly isFirst: boolean;
  /** Whether it began, or would begin, with a press of its own, and not with the one that ended the showing before it. */
  readonly isCalled: boolean;
}

interface Use {
  readonly component: Step['component'];
  readonly item: string;
  readonly count: number;
}

interface Held extends Use {
  readonly until: StepId;
}

/** Looks at a state as the cook does. */
export function sceneOf(state: BenchState, steps: ReadonlyMap<StepId, Step>): Scene {
  const going: Going[] = [];
  const held: Held[] = [];
  const ended: Scene['ended'][number][] = [];
  const stateOf = new Map(
    state.components.flatMap(({ steps: runs }) => runs.map((run) => [run.step, run.state] as const)),
  );
  for (const component of state.components) {
    for (const run of component.steps) {
      const step = steps.get(run.step);
      if (!step || run.state === 'waiting') continue;
      if (run.state === 'running') going.push({ step, run, attempt: component.attempt });
      else ended.push({ step, at: run.endedAt });
      for (const claim of step.holds) {
        const until = stateOf.get(claim.until);
        if (until === 'waiting' || until === 'running') held.push({ ...claim, component: step.component });
      }
    }
  }
  const isReplanned = state.timetable.steps !== state.setup.timetable.steps;
  const ovenOf = new Map(
    state.timetable.steps.flatMap(({ step, oven }) => (oven === undefined ? [] : [[step, oven] as const])),
  );
  const { workload, rundown } = state.setup;
  const shown = rundown ? shownIn(rundown.showings, state) : NOTHING_SHOWN;
  const waited = rundown && waitedFor(rundown, state);
  const common = { kitchen: workload.kitchen, going, held, ended, ovenOf, isReplanned, shown };
  return waited ? { ...common, waited } : common;
}

function waitedFor({ showings, swaps }: StageSetup, state: BenchState): Waited | undefined {
  const gone = leftOut(state);
  const runs = runsIn(state);
  const isOver = ({ step }: Showing): boolean => gone.has(step) || 'endedAt' in (runs.get(step) ?? {});
  const next = showings.find((showing) => !isOver(showing));
  const ends = showings.flatMap(({ step }) => {
    const run = runs.get(step);
    return run && 'endedAt' in run ? [run.endedAt] : [];
  });
  const [first, ...others] = ends;
  if (!next || first === undefined || runs.get(next.step)?.state !== 'waiting') return undefined;
  const copies = swaps.flatMap((swap) =>
    swap.for === next.step && swap.state.kind === 'inside' ? (lastAhead(state, swap) ?? []) : [],
  );
  return { since: others.reduce(later, first), copies: new Set(copies) };
}

const runsIn = ({ components }: BenchState): ReadonlyMap<StepId, StepRun> =>
  new Map(components.flatMap(({ steps }) => steps.map((run) => [run.step, run] as const)));

const NOTHING_SHOWN: Scene['shown'] = new Map();

function shownIn(showings: readonly Showing[], state: BenchState): Scene['shown'] {
  const runs = runsIn(state);
  let ended: EpochMs | undefined;
  return new Map(
    showings.map((showing, index) => {
      const run = runs.get(showing.step);
      const isCalled = run === undefined || !('startedAt' in run) || run.startedAt !== ended;
      if (run && 'endedAt' in run) ended = run.endedAt;
      return [showing.step, { showing, isFirst: index === 0, isCalled }] as const;
    }),
  );
}

/**
 * Since when the cook has had hands and tools for a step; nothing while something has to end first. Whether the oven
 * can take it is the bench's to say: it raises no call before. Whoever is before an audience is not who works behind.
 */
export function freeSince(step: Step, scene: Scene): EpochMs | undefined {
  if (!handsAreFree(step, scene) || !toolsAreFree(step, scene)) return undefined;
  return scene.ended
    .filter(
      (other) =>
        (other.step.hands === 'busy' && !scene.shown.has(other.step.id)) || sharesTool(step, other.step),
    )
    .reduce((latest, { at }) => later(latest, at), epochMs(0));
}

/** When something last came out of an oven: before that its knob was not to be touched, however long it was due. */
export function emptiedAt(oven: string, { ended, ovenOf }: Scene): EpochMs {
  return ended
    .filter(({ step }) => ovenOf.get(step.id) === oven)
    .reduce((latest, { at }) => later(latest, at), epochMs(0));
}

function handsAreFree(step: Step, { kitchen, going }: Scene): boolean {
  if (step.hands === 'free') return true;
  const limit = step.hands === 'busy' ? kitchen.cooks : kitchen.near;
  return going.filter((other) => other.step.hands === step.hands).length < limit;
}

const sharesTool = (a: Step, b: Step): boolean =>
  a.uses.some(({ item }) => b.uses.some((other) => other.item === item));

/** Whether enough of everything is left. A component uses what it holds itself before it takes more. */
function toolsAreFree(step: Step, scene: Scene): boolean {
  // A rest that is over with this start gives back what it used, and what was held until it.
  const stays = scene.going.filter((other) => !isEndedBy(step, other.step));
  const over = new Set(scene.going.flatMap((other) => (stays.includes(other) ? [] : [other.step.id])));
  const held = scene.held.filter(({ until }) => !over.has(until));
  const uses = stays.flatMap((other) => usesOf(other.step, held));
  return [...step.uses, ...step.holds].every(({ item }) => {
    const stock = scene.kitchen.items.find(({ name }) => name === item)?.count ?? Infinity;
    const components = new Set([...uses, ...held].map((use) => use.component)).add(step.component);
    let wanted = 0;
    for (const component of components) {
      const isOwn = component === step.component;
      const used = total(uses, item, component) + (isOwn ? amount(usesOf(step, held), item) : 0);
      const kept = total(held, item, component) + (isOwn ? amount(step.holds, item) : 0);
      wanted += Math.max(used, kept);
    }
    return wanted <= stock;
  });
}

/** What a step takes beyond what another component has held until that very step. */
function usesOf(step: Step, held: readonly Held[]): Use[] {
  const ready = held.filter(({ until, component }) => until === step.id && component !== step.component);
  return step.uses.map(({ item, count }) => ({
    item,
    count: Math.max(0, count - amount(ready, item)),
    component: step.component,
  }));
}

/** Whether a rest that is going on is over when a step starts: the one before it, or one that it needs. */
const isEndedBy = (step: Step, { length, component, id }: Step): boolean =>
  length.kind === 'rest' && (component === step.component || step.needs.includes(id));

const amount = (claims: Step['uses'], item: string): number =>
  claims.reduce((sum, claim) => (claim.item === item ? sum + claim.count : sum), 0);

const total = (uses: readonly Use[], item: string, component: Use['component']): number =>
  amount(
    uses.filter((use) => use.component === component),
    item,
  );
