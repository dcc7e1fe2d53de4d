import { componentNames, type Step, type StepId, type Workload } from '../plan/index.ts';
import { formatDuration, seconds, type EpochMs } from '../units/index.ts';
import type { Progress } from './progress.ts';
import type { Rule } from './rules.ts';
import type { OvenSetting, Timetable } from './timetable.ts';
import { whenFrom } from './words.ts';

/** Something that is asked for at another time than the cook was told. */
export interface Change {
  readonly step?: StepId;
  readonly oven?: string;
  /** One line, in words. */
  readonly message: string;
  readonly from: EpochMs;
  readonly to: EpochMs;
}

const MINUTE = 60_000;

/** What moves by a minute or more between what was told and a new timetable, in order of the new times. */
export function changesBetween(workload: Workload, progress: Progress, next: Timetable): Change[] {
  const when = whenFrom(workload.kitchen.timeZone, progress.now);
  const moved = (from: EpochMs, to: EpochMs): string =>
    `${when(to)} instead of ${when(from)}, ${Math.round(Math.abs(to - from) / MINUTE)} min ${to > from ? 'later' : 'earlier'}`;
  const steps = new Map(
    workload.components.flatMap((component) => component.steps).map((step) => [step.id, step]),
  );
  const names = componentNames(workload);
  const name = (id: StepId): string => {
    const step = steps.get(id);
    return step ? `${names.get(step.component) ?? step.component}: ${step.name}` : id;
  };
  const told = new Map(progress.told.steps.map((planned) => [planned.step, planned]));
  const moves = next.steps.flatMap(({ step, start, oven }): Change[] => {
    const before = told.get(step);
    if (!before || progress.steps[step]?.kind !== 'open') return [];
    const elsewhere = before.oven === oven ? '' : `, in ${oven} instead of ${before.oven}`;
    if (Math.abs(start - before.start) < MINUTE && elsewhere === '') return [];
    return [
      {
        step,
        message: `${name(step)}: ${moved(before.start, start)}${elsewhere}`,
        from: before.start,
        to: start,
      },
    ];
  });
  const settings = next.settings.flatMap((setting): Change[] => {
    const before = progress.told.settings.find((other) => sameSetting(other, setting));
    if (!before || setting.at < progress.now || Math.abs(setting.at - before.at) < MINUTE) return [];
    const words = setting.heat.kind === 'off' ? 'off' : `set for ${name(setting.step)}`;
    return [
      {
        oven: setting.oven,
        message: `${setting.oven} ${words}: ${moved(before.at, setting.at)}`,
        from: before.at,
        to: setting.at,
      },
    ];
  });
  return [...moves, ...settings].toSorted((a, b) => a.to - b.to);
}

const sameSetting = (a: OvenSetting, b: OvenSetting): boolean =>
  a.oven === b.oven && a.step === b.step && a.heat.kind === b.heat.kind;

/** `cream: thicken`, with the plan before it where several are laid together. */
const named = ({ component, name }: Step): string => `${component}: ${name}`;

/** A window that was stretched by so many seconds, in words. */
export function stretchedWords(rule: Rule, over: number): string | undefined {
  const long = formatDuration(seconds(over));
  switch (rule.kind) {
    case 'within':
      return `${named(rule.step)} waits ${long} longer than it may after ${rule.before.name}`;
    case 'keeps':
      return `${rule.component.id} is kept ${long} too long, until ${rule.user ? `${named(rule.user)} is over` : 'service'}`;
    case 'rests at most':
      return `${named(rule.step)} lasts ${long} longer than it may`;
    default:
      return undefined;
  }
}
