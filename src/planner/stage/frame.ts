import {
  componentId,
  stepId,
  type Component,
  type Demonstration,
  type Step,
  type StepId,
  type StepLength,
} from '../../plan/index.ts';
import { seconds, type Seconds } from '../../units/index.ts';
import type { Slot } from './slots.ts';
import type { Story } from './story.ts';

/** How long everybody has to be at their places before it goes on air. */
export const TO_PLACES: Seconds = seconds(60);

/** What a demonstration has beside its batches. */
export interface Frame {
  /** Everybody to their places, then on air until service, to the second. */
  readonly air: Component;
  readonly places: StepId;
  readonly onAir: StepId;
  readonly stageId: Component['id'];
  /** The step of a showing that is none of a batch: a talk, a break, the beauty, and in a part of a story also what is not looked at. */
  readonly showing: (slot: Slot) => StepId | undefined;
  /** The component of those showings, if there are any, by what each of them needs. */
  readonly stage: (needs: (slot: Slot) => readonly StepId[]) => Component[];
}

/** @param free makes a name that no other component of the workload has. */
export function frameOf(
  { place }: Demonstration,
  { batches, slots }: Story,
  free: (name: string) => string,
): Frame {
  const [air, stage] = [componentId(free('air')), componentId(free('stage'))];
  const touched = new Set(batches.flatMap(({ touches }) => touches.map(({ slot }) => slot)));
  const own = slots.filter((slot) => !touched.has(slot));
  const idOf = (slot: Slot): StepId => stepId(stage, nameOf(slot));
  const places = plainStep(air, 'places', 'everybody to their places, swaps at hand', TO_PLACES, place);
  const onAir = plainStep(air, 'on air', 'on air', seconds(slots.at(-1)?.to ?? 0), place);
  return {
    places: places.id,
    onAir: onAir.id,
    stageId: stage,
    air: {
      id: air,
      name: air,
      title: 'On air',
      plan: 0,
      keeps: seconds(0),
      steps: [places, { ...onAir, hands: 'free', within: seconds(0) }],
      place,
    },
    showing: (slot) => (touched.has(slot) ? undefined : idOf(slot)),
    stage: (needs) => {
      const steps = own.map((slot): Step => {
        const { show } = slot;
        const action = show.kind === 'step' ? show.step : show.about;
        return {
          ...plainStep(stage, nameOf(slot), action, seconds(slot.to - slot.from), show.place),
          ...(show.kind !== 'step' && { length: lengthOf(slot) }),
          hands: show.kind === 'break' ? 'free' : 'busy',
          needs: needs(slot).filter(
            (id) => !own.some((other) => other.number === slot.number - 1 && idOf(other) === id),
          ),
        };
      });
      return steps.length === 0 ? [] : [{ id: stage, name: stage, title: 'On stage', plan: 0, steps, place }];
    },
  };
}

const nameOf = ({ number, show }: Slot): string =>
  `${show.kind === 'step' ? 'show' : show.kind} ${number + 1}`;

function plainStep(
  component: Component['id'],
  name: string,
  action: string,
  lasts: Seconds,
  place: Step['place'],
): Step {
  return {
    id: stepId(component, name),
    component,
    name,
    action,
    length: { kind: 'takes', range: { low: lasts, usual: lasts, high: lasts } },
    hands: 'busy',
    after: seconds(0),
    needs: [],
    uses: [],
    holds: [],
    place,
  };
}

/** As long as planned; between what the presenter may cut it to and stretch it to. */
export function lengthOf({ show, from, to }: Slot): StepLength {
  const planned = seconds(to - from);
  return {
    kind: 'takes',
    range: {
      low: seconds(Math.min(planned, Math.ceil(show.lasts.low))),
      usual: planned,
      high: seconds(Math.max(planned, Math.floor(show.lasts.high))),
    },
  };
}
