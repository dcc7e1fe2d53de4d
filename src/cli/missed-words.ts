import type { BenchState } from '../bench/index.ts';
import { componentNames } from '../plan/index.ts';
import { roughly, seconds, wallClock, type EpochMs, type Seconds } from '../units/index.ts';
import { airRecordText } from '../sheet/index.ts';
import type { Missed } from '../rehearsal/index.ts';
import type { Thrown } from './play.ts';

/** More than this of one kind nobody reads. */
const MOST = 8;

/** What the cook missed in a rehearsal and what it cost, line by line; the one thing to practise comes last. */
export function missedLines(state: BenchState, missed: Missed, thrown: readonly Thrown[]): readonly string[] {
  const { workload } = state.setup;
  const names = componentNames(workload);
  const at = (moment: EpochMs): string => wallClock(moment, workload.kitchen.timeZone);
  const named = (id: string): string => {
    const component = workload.components.find(({ steps }) => steps.some((step) => step.id === id));
    const step = component?.steps.find((each) => each.id === id);
    return `${component ? names.get(component.id) : ''}: ${step?.name ?? ''}`;
  };
  const { services, late, early, windows, alarms, doors, leftOut } = missed;
  return [
    ...(state.setup.rundown
      ? airLines(state)
      : services.map((service) => {
          const title = workload.plans[service.plan]?.title ?? 'service';
          const first = service.first === undefined ? '' : ` (told first: ${at(service.first)})`;
          return `${title}, ${at(service.service)}${first}: ${outWords(service.servedAt, service.late, at)}`;
        })),
    ...list(
      'made to go wrong',
      thrown.map((each) => `${at(each.at)} ${each.what}`),
    ),
    ...list(
      'answered late',
      late.map(({ call, due, answeredAt, late: by, cost }) => {
        const so = answeredAt === undefined ? `not answered, ${roughly(by)} by now` : `${roughly(by)} late`;
        const paid =
          cost === undefined
            ? ''
            : cost < 60
              ? ', and that cost no margin'
              : `, and that cost ${roughly(cost)} of margin`;
        return `${at(due)} ${call}: ${so}${paid}`;
      }),
    ),
    ...list(
      'called done too early',
      early.map(
        ({ step, at: when, by }) => `${at(when)} ${named(step)}: ${roughly(by)} before it looked done`,
      ),
    ),
    ...list(
      'windows overstepped',
      windows.map(({ words, by, isOpen }) => `${words}: by ${roughly(by)}${isOpen ? ', and growing' : ''}`),
    ),
    ...list(
      'alarms',
      alarms.map(
        ({ raisedAt, cause, how, after }) => `${at(raisedAt)} ${cause}: ${HOW[how]} ${roughly(after)}`,
      ),
    ),
    ...list(
      'doors opened early',
      doors.map(
        ({ oven, at: when, by }) => `${at(when)} ${oven}: it had to stay shut for another ${roughly(by)}`,
      ),
    ),
    ...list('left out', leftOut.map(named)),
    `to practise: ${missed.practise}`,
  ];
}

/** How a demonstration went on air, showing by showing. */
function airLines(state: BenchState): readonly string[] {
  const title = state.setup.workload.plans[0]?.title ?? 'the demonstration';
  const [first = 'not on air when the rehearsal was left', ...showings] = airRecordText(state);
  return [`${title}: ${first}`, ...showings];
}

const HOW = {
  heard: 'heard after',
  'set aside': 'set aside after',
  done: 'dealt with after',
  gone: 'gone by itself after',
  standing: 'unheard for',
} as const satisfies Record<Missed['alarms'][number]['how'], string>;

function outWords(
  servedAt: EpochMs | undefined,
  late: Seconds | undefined,
  at: (moment: EpochMs) => string,
): string {
  if (servedAt === undefined || late === undefined) return 'not served when the rehearsal was left';
  const apart = roughly(seconds(Math.abs(late)));
  const how = Math.abs(late) < 60 ? 'on time' : `${apart} ${late > 0 ? 'late' : 'early'}`;
  return `served at ${at(servedAt)}, ${how}`;
}

function list(title: string, lines: readonly string[]): readonly string[] {
  if (lines.length === 0) return [];
  const more = lines.length - MOST;
  return [
    `${title}:`,
    ...lines.slice(0, MOST).map((each) => `  ${each}`),
    ...(more > 0 ? [`  and ${more} more`] : []),
  ];
}

/** The same for programs: moments in ISO form, lengths in seconds. */
export function missedJson(
  state: BenchState,
  missed: Missed,
  thrown: readonly Thrown[],
  seed: number,
): object {
  const iso = (moment: EpochMs | undefined): string | null =>
    moment === undefined ? null : new Date(moment).toISOString();
  return {
    seed,
    served: state.servedAt !== undefined,
    services: missed.services.map(({ plan, service, first, servedAt, late }) => ({
      plan: state.setup.workload.plans[plan]?.title ?? '',
      service: iso(service),
      toldFirst: iso(first ?? service),
      servedAt: iso(servedAt),
      lateSeconds: late ?? null,
    })),
    madeToGoWrong: thrown.map(({ at, what }) => ({ at: iso(at), what })),
    answeredLate: missed.late.map(({ call, asks, due, answeredAt, late, cost }) => ({
      call,
      asks,
      due: iso(due),
      answeredAt: iso(answeredAt),
      lateSeconds: late,
      costSeconds: cost ?? null,
    })),
    calledDoneTooEarly: missed.early.map(({ step, at, by }) => ({ step, at: iso(at), bySeconds: by })),
    windowsOverstepped: missed.windows.map(({ kind, words, by, isOpen }) => ({
      kind,
      words,
      bySeconds: by,
      isOpen,
    })),
    alarms: missed.alarms.map(({ kind, cause, priority, raisedAt, how, after }) => ({
      kind,
      cause,
      priority,
      raisedAt: iso(raisedAt),
      how,
      afterSeconds: after,
    })),
    doorsOpenedEarly: missed.doors.map(({ oven, at, by }) => ({ oven, at: iso(at), bySeconds: by })),
    leftOut: missed.leftOut,
    practise: missed.practise,
  };
}
