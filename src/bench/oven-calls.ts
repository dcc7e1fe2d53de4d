import { knobFor, ovenModel } from '../heat/index.ts';
import type { OvenHeat } from '../plan/index.ts';
import { formatTemperature, plus, temperatureOf } from '../units/index.ts';
import type { WantedCall } from './calls.ts';
import { lookup, must, ovenOf, ovenRun, type Placed } from './lookup.ts';
import type { BenchState, ComponentRun, StepRun } from './state.ts';
import type { Watch } from './watch.ts';

/** A call may be answered so long before it is due. */
const OPEN_BEFORE_S = 60;

/** The call to turn round what is in an oven, once, while its step runs: an opening of the door that is allowed for. */
export function turnCall(
  state: BenchState,
  { step, component, name }: Placed,
  running: Extract<StepRun, { state: 'running' }>,
  run: ComponentRun,
  watch: Watch,
): WantedCall[] {
  const oven = ovenOf(state, step);
  if (step.turn === undefined || oven === undefined) return [];
  if (ovenRun(state, oven)?.turned.includes(step.id)) return [];
  const due = plus(running.startedAt, step.turn);
  if (!watch.reached(plus(due, -OPEN_BEFORE_S))) return [];
  return [
    {
      key: `turn ${step.id}#${run.attempt}`,
      asks: { kind: 'turn', oven, step: step.id },
      component: component.id,
      text: `${name}: turn it round in the ${oven}, and shut the door`,
      due,
      priority: 'medium',
    },
  ];
}

/** Where an oven is known to stand off its knob: ` (knob at 188 C)`, what the knob is turned to for it to come to `heat`. */
export function knobWords(state: Pick<BenchState, 'setup'>, oven: string, heat: OvenHeat): string {
  const { workload } = state.setup;
  const model = ovenModel(must(lookup(workload).ovens, oven), workload.kitchen.ambient);
  if (heat.kind === 'off' || Math.abs(model.offset) < 1) return '';
  const { scale } = heat.temperature;
  const turned = knobFor(model, heat.temperature.celsius);
  const figure = Math.round(scale === 'C' ? turned : (turned * 9) / 5 + 32);
  return ` (knob at ${formatTemperature(temperatureOf(figure, scale))})`;
}
