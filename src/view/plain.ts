import { project, type Alarm, type BenchState, type Call } from '../bench/index.ts';
import { later, roughly, secondsBetween, seconds, wallClock, type EpochMs } from '../units/index.ts';
import type { AheadView } from './ahead.ts';
import type { AsideView } from './alarms.ts';
import { callText } from './now.ts';
import { offerView, type OfferView } from './offer.ts';
import { asideLines, heatLines } from './plain-heat.ts';
import { stageChanges, stageLines } from './plain-stage.ts';
import type { StageView } from './stage.ts';
import type { HeatView } from './temperatures.ts';
import { servedLines } from './ended.ts';
import { clean, clockWords } from './text.ts';

/** One look at a run: its state, and when it was looked at. */
export interface Look {
  readonly state: BenchState;
  readonly now: EpochMs;
}

/**
 * What has changed between two looks, a line each, for screens that only ever add lines: what happened, calls that have
 * become due or may now be answered, alarms that were raised or are over. Without `before` everything that stands is said.
 */
export function plainLines(before: Look | undefined, after: Look): string[] {
  return [
    ...happened(before, after),
    ...alarmLines(before, after),
    ...asideChanges(before, after),
    ...callLines(before, after),
    ...offerLines(before, after),
    ...stageChanges(before, after).map((text) => `${stamp(after.now, after.state)} ${text}`),
  ];
}

const stamp = (moment: EpochMs, state: BenchState): string =>
  wallClock(moment, state.setup.workload.kitchen.timeZone, 'second');

function happened(before: Look | undefined, { state, now }: Look): string[] {
  if (!before) return [];
  const timeZone = state.setup.workload.kitchen.timeZone;
  // Undo shortens the log: what both have in common is not said again.
  const old = before.state.log;
  let same = 0;
  while (same < old.length && same < state.log.length && sameLine(old[same], state.log[same])) same += 1;
  const taken = old.slice(same).filter((line) => !state.log.some((other) => sameLine(line, other)));
  const fresh = state.log.slice(same).filter((line) => !old.some((other) => sameLine(line, other)));
  return [
    ...taken.map((line) => `${stamp(now, state)} undone: ${clean(line.text)}`),
    // Alarms and offers have lines of their own.
    ...fresh
      .filter((line) => line.kind !== 'alarm' && line.kind !== 'offer')
      .map((line) => {
        const back = line.knownAt === undefined || line.knownAt - line.at < 1000;
        return `${stamp(line.knownAt ?? line.at, state)} ${clean(line.text)}${back ? '' : ` (at ${clockWords(line.at, now, timeZone)})`}`;
      }),
  ];
}

const sameLine = (
  a: BenchState['log'][number] | undefined,
  b: BenchState['log'][number] | undefined,
): boolean => a?.at === b?.at && a?.text === b?.text && a?.kind === b?.kind;

function alarmLines(before: Look | undefined, { state, now }: Look): string[] {
  const lines: string[] = [];
  for (const alarm of state.alarms) {
    const old = before?.state.alarms.find((each) => each.key === alarm.key);
    if (!old && alarm.state !== 'returned') lines.push(`${stamp(now, state)} ${alarmWords(alarm, now)}`);
    else if (old && old.state !== 'returned' && alarm.state === 'returned')
      lines.push(`${stamp(now, state)} ALARM over: ${clean(alarm.cause)}`);
  }
  for (const old of before?.state.alarms ?? [])
    if (
      old.state !== 'returned' &&
      !isAside(old, state) &&
      !state.alarms.some((alarm) => alarm.key === old.key)
    )
      lines.push(`${stamp(now, state)} ALARM over: ${clean(old.cause)}`);
  return lines;
}

/** Alarms that were set aside or taken out of service since, and whether anything sounds. Their coming back is told as an alarm. */
function asideChanges(before: Look | undefined, { state, now }: Look): string[] {
  if (!before) return [];
  const timeZone = state.setup.workload.kitchen.timeZone;
  const old = before.state;
  const isQuiet = (of: BenchState): boolean => of.quietUntil !== undefined && of.quietUntil > now;
  return [
    ...state.shelved
      .filter(({ key }) => !old.shelved.some((each) => each.key === key))
      .map(
        ({ until, cause, reason }) =>
          `ALARM set aside till ${clockWords(until, now, timeZone)}: ${clean(cause)} (${clean(reason)})`,
      ),
    ...state.outOfService
      .filter(({ kind }) => !old.outOfService.some((each) => each.kind === kind))
      .map(({ kind, reason }) => `no alarm "${kind}" in this run: ${clean(reason)}`),
    ...old.outOfService
      .filter(({ kind }) => !state.outOfService.some((each) => each.kind === kind))
      .map(({ kind }) => `alarm "${kind}" is in service again`),
    ...(state.quietUntil === old.quietUntil
      ? []
      : [
          isQuiet(state) && state.quietUntil
            ? `quiet till ${clockWords(state.quietUntil, now, timeZone)}`
            : 'it sounds again',
        ]),
  ].map((text) => `${stamp(now, state)} ${text}`);
}

/** What was set aside is not over. */
const isAside = (alarm: Alarm, { shelved, outOfService }: BenchState): boolean =>
  shelved.some(({ key }) => key === alarm.key) || outOfService.some(({ kind }) => kind === alarm.kind);

/** An alarm in one line: how grave, cause, consequence, what to do, how long there is. */
function alarmWords(alarm: Alarm, now: EpochMs): string {
  const left = alarm.by === undefined ? undefined : secondsBetween(now, alarm.by);
  const time =
    left === undefined
      ? ''
      : left >= 0
        ? ` Time left: ${roughly(left)}.`
        : ` ${roughly(seconds(Math.abs(left)))} past.`;
  return `ALARM ${alarm.priority}: ${sentence(alarm.cause)} Else: ${sentence(alarm.consequence)} Do: ${sentence(alarm.action)}${time}`;
}

const sentence = (text: string): string => {
  const words = clean(text);
  return /[.!?]$/.test(words) ? words : `${words}.`;
};

function callLines(before: Look | undefined, { state, now }: Look): string[] {
  return state.calls.flatMap((call) => {
    const old = before?.state.calls.find((each) => each.key === call.key);
    const due = call.due <= now;
    const wasDue = old !== undefined && before !== undefined && old.due <= before.now;
    if (due && !wasDue) return [`${stamp(now, state)} ${callWords(call, state, now)}`];
    if (due && old && call.raised > old.raised)
      return [
        `${stamp(now, state)} ${callWords(call, state, now)} (due ${roughly(secondsBetween(call.due, now))} ago)`,
      ];
    return !due && !old ? [`${stamp(now, state)} ${callWords(call, state, now)}`] : [];
  });
}

/** A call in one line. One that is not due yet says that it may be answered. */
function callWords(call: Call, state: BenchState, now: EpochMs): string {
  const timeZone = state.setup.workload.kitchen.timeZone;
  const latest = call.latest
    ? ` (${call.latest.at < now ? 'was to be ' : ''}by ${clockWords(call.latest.at, now, timeZone)}: ${clean(call.latest.breaks)})`
    : '';
  const caution = call.caution === undefined ? '' : ` Caution: ${sentence(call.caution)}`;
  const what = `${callText(call)}${latest}${caution}`;
  if (call.due <= now) return `CALL ${what}`;
  const usually = call.asks.kind === 'done' ? 'usually ' : '';
  return `soon, ${usually}at ${clockWords(call.due, now, timeZone)}: ${what}`;
}

/** A new timetable when it is first offered: what it means for service, then what is different. */
function offerLines(before: Look | undefined, { state, now }: Look): string[] {
  const { proposal } = state.replanning;
  if (!proposal || before?.state.replanning.proposal?.id === proposal.id) return [];
  const ahead = project({ ...state, timetable: proposal.timetable }, now);
  const offer = offerView(state, now, ahead);
  return offer ? offerWords(offer).map((text) => `${stamp(now, state)} ${text}`) : [];
}

const moveWords = (lines: OfferView['lines']): string[] =>
  lines.map(({ kind, text }) => `  ${kind === 'broken' ? '! ' : ''}${text}`);

function offerWords({ headline, reason, lines, others }: OfferView): string[] {
  return [
    `NEW TIMETABLE ${headline} (because ${reason})`,
    ...moveWords(lines),
    ...others.flatMap((other) => [
      `  way ${other.number}: ${other.what}: ${other.headline}`,
      ...moveWords(other.lines),
    ]),
    others.length === 0
      ? '  "take" takes it, "leave" keeps the old one'
      : '  "take" takes it, "way 2" that way, "leave" keeps the old one',
  ];
}

/** How the run stands, in a few lines. */
export function statusLines({ state, now }: Look, view: StatusView): string[] {
  return [
    `${view.headline.clock} ${view.headline.title}: ${view.headline.service}, ${view.headline.margin}${view.headline.promise ? `, ${view.headline.promise}` : ''}.`,
    ...(view.headline.quiet === undefined ? [] : [view.headline.quiet]),
    ...(view.headline.plans.length < 2 || state.servedAt !== undefined
      ? []
      : view.headline.plans.map((plan) => `${plan.title}: serve ${plan.service}, ${plan.margin}`)),
    ...state.alarms.filter((alarm) => alarm.state !== 'returned').map((alarm) => alarmWords(alarm, now)),
    ...state.calls.map((call) => callWords(call, state, now)),
    ...stageLines(view.stage),
    ...view.lanes.map((lane) =>
      [`${lane.name}:`, lane.word, lane.step, lane.lead, lane.figures, lane.meaning]
        .filter((part) => part !== '')
        .join(' '),
    ),
    ...view.ovens.map(
      (oven) =>
        `${oven.name}: ${oven.stands}, door ${oven.door}${oven.lock ? `, keep it shut ${oven.lock.left}` : ''}`,
    ),
    ...heatLines(view.heat),
    ...view.timers.map(
      (timer) =>
        `${/^timer\b/.test(timer.name) ? '' : 'timer '}${timer.name}: ${timer.figures} ${timer.over ? 'over' : 'left'}`,
    ),
    ...view.next.slice(0, 2).map((next) => `next ${next.clock} ${next.who}: ${next.what}`),
    view.hands,
    ...asideLines(view.ahead, view.asides),
    ...(view.offer ? offerWords(view.offer) : []),
  ];
}

/** The parts of a board view that {@link statusLines} tells. */
export interface StatusView {
  readonly headline: {
    readonly clock: string;
    readonly title: string;
    readonly service: string;
    readonly margin: string;
    readonly promise?: string;
    readonly quiet?: string;
    readonly plans: readonly { readonly title: string; readonly service: string; readonly margin: string }[];
  };
  readonly lanes: readonly {
    readonly name: string;
    readonly word: string;
    readonly step: string;
    readonly lead: string;
    readonly figures: string;
    readonly meaning: string;
  }[];
  readonly ovens: readonly {
    readonly name: string;
    readonly stands: string;
    readonly door: string;
    readonly lock?: { readonly left: string };
  }[];
  readonly timers: readonly { readonly name: string; readonly figures: string; readonly over: boolean }[];
  readonly next: readonly { readonly clock: string; readonly who: string; readonly what: string }[];
  readonly hands: string;
  readonly heat: HeatView;
  readonly ahead: readonly AheadView[];
  readonly asides: readonly AsideView[];
  readonly offer?: OfferView;
  readonly stage?: StageView;
}

/** What was served and when, against when it was meant to be. Nothing before it is served. */
export function servedWords(state: BenchState): string | undefined {
  const { servedAt, setup, timetable } = state;
  if (servedAt === undefined) return undefined;
  const { plans } = setup.workload;
  if (plans.length > 1) {
    const each = servedLines(state).map(({ text }) => text.replace(': served at ', ', at '));
    return `${stamp(servedAt, state)} served: ${each.join('; ')}`;
  }
  const what = plans
    .map((plan) => `${clean(plan.title)}, ${plan.makes.count} ${clean(plan.makes.of)}`)
    .join(' and ');
  const meant = timetable.service.reduce(later, timetable.service[0] ?? servedAt);
  const late = secondsBetween(meant, servedAt);
  const minute = Math.abs(late) < 60;
  const against = minute
    ? 'on time'
    : late > 0
      ? `${roughly(late)} late`
      : `${roughly(seconds(Math.abs(late)))} early`;
  return `${stamp(servedAt, state)} ${setup.rundown ? 'ended' : 'served'}: ${what}, ${against} for ${clockWords(meant, servedAt, setup.workload.kitchen.timeZone)}`;
}
