import { ovenModel, secondsUntilRightRange, type OvenModel } from '../heat/index.ts';
import type { StepId } from '../plan/index.ts';
import { endOf } from './core/index.ts';
import { temperatureOf } from '../units/index.ts';
import type { OvenStanding, Progress } from './progress.ts';
import type { PromiseDraft } from './promise-draft.ts';
import type { Knob, Origin } from './promise-network.ts';
import type { OvenSetting, PlannedStep, Timetable } from './timetable.ts';

export interface Knobs {
  readonly knobs: readonly Knob[];
  /** Steps whose oven is set before they begin. */
  readonly ahead: ReadonlySet<StepId>;
}

/**
 * Knobs that are turned ahead of a load: no earlier than work begins and the loads before it are out, and the load goes in when
 * the oven is right, which nature decides within the range of its model. What has been turned already is only waited for.
 */
export function drawKnobs(draft: PromiseDraft, timetable: Timetable, progress?: Progress): Knobs {
  const knobs: Knob[] = [];
  const ahead = new Set<StepId>();
  for (const { name } of draft.workload.kitchen.ovens) {
    const standing = progress?.ovens.find(({ oven }) => oven === name);
    const drawing = new OvenKnobs(draft, timetable, name, standing);
    if (standing && progress) knobs.push(...drawing.standing(standing, progress));
    knobs.push(...drawing.toCome());
    for (const step of drawing.ahead) ahead.add(step);
  }
  return { knobs, ahead };
}

class OvenKnobs {
  readonly ahead = new Set<StepId>();
  private readonly draft: PromiseDraft;
  private readonly model: OvenModel;
  private readonly stands: OvenStanding | undefined;
  private readonly settings: readonly OvenSetting[];
  /** What lasts in this oven. */
  private readonly loads: readonly PlannedStep[];

  constructor(draft: PromiseDraft, timetable: Timetable, name: string, stands: OvenStanding | undefined) {
    const { kitchen } = draft.workload;
    const oven = kitchen.ovens.find((each) => each.name === name);
    if (!oven) throw new Error(`no oven "${name}"`);
    [this.draft, this.stands] = [draft, stands];
    this.model = ovenModel(oven, kitchen.ambient);
    this.settings = timetable.settings.filter((setting) => setting.oven === name);
    this.loads = timetable.steps.filter((step) => step.oven === name && step.start < step.end);
  }

  /** What the oven was set to before now: what goes in next waits until it is right. */
  standing({ oven, knob, celsius, readyAt }: OvenStanding, { now }: Progress): Knob[] {
    const turned = this.turnedAlready();
    const next = this.settings.find((each) => each !== turned && this.isToCome(each));
    const until = next?.at ?? Infinity;
    const waiting = this.loads.filter(({ step, start }) => !this.hasBegun(step) && start < until);
    const [first] = waiting;
    if (knob === undefined || !first) return [];
    for (const { step } of waiting) this.ahead.add(step);
    if (readyAt <= now) return [];
    const { high } = secondsUntilRightRange(this.model, celsius, knob);
    const heat = { kind: 'at', temperature: temperatureOf(knob, 'C') } as const;
    const setting = turned ?? { oven, heat, at: now, hotBy: readyAt, step: first.step };
    const right = this.right(setting, 0, Math.ceil(high));
    for (const { step } of waiting) this.goesIn(step, right, setting);
    return [{ setting, right }];
  }

  /** What is still to be set ahead. */
  toCome(): Knob[] {
    const turned = this.turnedAlready();
    return this.settings.flatMap((setting, place): Knob[] => {
      if (setting.heat.kind === 'off' || setting.at >= setting.hotBy) return [];
      if (setting === turned || this.hasBegun(setting.step)) return [];
      const { draft } = this;
      const at = draft.newPoint();
      for (const load of this.loads) {
        if (load.end > setting.at) continue;
        const end = draft.extraction.endOf(load.step);
        const { point, plus } = draft.standOf(end);
        const out = draft.isKnown(end) ? plus : draft.isCalled(end) ? draft.answer : 0;
        draft.atLeast(point, at, out, this.originOf(setting));
      }
      const right = this.right(setting, at, this.longest(place) + draft.answer);
      const until = this.settings[place + 1]?.at ?? Infinity;
      this.goesIn(setting.step, right, setting);
      for (const { step, start } of this.loads)
        if (step !== setting.step && start >= setting.hotBy && start < until)
          this.goesIn(step, right, setting);
      this.ahead.add(setting.step);
      return [{ setting, turned: at, right }];
    });
  }

  /** The point at which the oven is right. It may still be warm from before, and nothing is lost where it is right sooner. */
  private right(setting: OvenSetting, turned: number, longest: number): number {
    const right = this.draft.newPoint();
    const origin = this.originOf(setting);
    const link = { start: turned, end: right, low: 1, high: Math.max(1, longest) };
    this.draft.natureOrFixed(link, { kind: 'oven', step: origin.step, oven: setting.oven }, origin);
    return right;
  }

  private goesIn(step: StepId, right: number, setting: OvenSetting): void {
    const start = this.draft.extraction.startOf(step);
    if (!this.draft.isKnown(start))
      this.draft.atLeast(right, this.draft.standOf(start).point, 0, this.originOf(setting));
  }

  /** The longest time that a setting takes, s, from whatever the oven may stand at when the knob is turned. */
  private longest(place: number): number {
    const heat = this.settings[place]?.heat;
    if (heat?.kind !== 'at') return 0;
    const to = heat.temperature.celsius;
    return Math.ceil(
      Math.max(...this.before(place).map((from) => secondsUntilRightRange(this.model, from, to).high)),
    );
  }

  /** What an oven may stand at before a setting: at what was set before it, and where nobody waited for that, at what was set before that. */
  private before(place: number): number[] {
    const found: number[] = [];
    for (let each = place - 1; each >= 0; each -= 1) {
      const setting = this.settings[each];
      if (!setting || !this.isToCome(setting)) break;
      if (setting.heat.kind === 'off') found.push(this.model.ambient);
      else found.push(setting.heat.temperature.celsius);
      if (setting.heat.kind === 'at' && setting.at < setting.hotBy) return found;
    }
    if (!this.stands) return [...found, this.model.ambient];
    return [...found, this.stands.celsius, this.stands.knob ?? []].flat();
  }

  /** The setting that comes next, where the knob stands so already and nothing else is in or before it. */
  private turnedAlready(): OvenSetting | undefined {
    const next = this.settings.find((setting) => this.isToCome(setting) && setting.heat.kind === 'at');
    if (next?.heat.kind !== 'at' || this.stands?.knob !== next.heat.temperature.celsius) return undefined;
    const isFree = this.loads.every(({ step, end }) => end > next.at || this.isOver(step));
    return isFree ? next : undefined;
  }

  /** Whether a setting is for something that has not begun, or switches the oven off after something that is not over. */
  private isToCome({ step, heat }: OvenSetting): boolean {
    return heat.kind === 'off' ? !this.isOver(step) : !this.hasBegun(step);
  }

  private hasBegun(step: StepId): boolean {
    return this.draft.isKnown(this.draft.extraction.startOf(step));
  }

  private isOver(step: StepId): boolean {
    return this.draft.isKnown(endOf(this.draft.extraction.startOf(step) >> 1));
  }

  private originOf({ oven, step: id }: OvenSetting): Origin & { readonly kind: 'knob' } {
    const step = this.draft.extraction.steps.find((each) => each.id === id);
    if (!step) throw new Error(`no step "${id}" for a setting`);
    return { kind: 'knob', oven, step };
  }
}
