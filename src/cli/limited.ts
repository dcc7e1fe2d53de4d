import { visible, type Workload } from '../plan/index.ts';
import {
  limits,
  promiseOf,
  promiseWords,
  type Limits,
  type PlanRequest,
  type Promised,
  type Timetable,
} from '../planner/index.ts';
import { promiseJson } from '../sheet/index.ts';
import { clockFrom, roughly, type EpochMs } from '../units/index.ts';
import type { Out } from './out.ts';

/** `sheet --limits`: what fixes when work begins, what a little change would buy, and whether it holds whatever happens. */
export function showLimits(
  workload: Workload,
  request: PlanRequest,
  timetable: Timetable,
  asJson: boolean,
  out: Out,
): void {
  const found = limits(workload, request, timetable);
  const promise = promiseOf(workload, timetable, request.now);
  if (asJson) out.json({ ...limitsJson(found), promise: promiseJson(promise) });
  else out.print(`${limitsText(workload, found)}\n\n${promiseText(promise)}`);
}

function promiseText(promise: Promised): string {
  return ['Whatever nature does', ...promiseWords(promise).map((line) => `  ${line}`)]
    .map(visible)
    .join('\n');
}

/** Moments are written as on the run sheet for programs. */
function limitsJson({ begins, chain, ...found }: Limits) {
  return {
    ...found,
    begins: written(begins),
    chain: chain.map((link) => ({ ...link, start: written(link.start), end: written(link.end) })),
  };
}

const written = (moment: EpochMs): string => new Date(moment).toISOString();

function limitsText({ kitchen }: Workload, { message, begins, chain, gains }: Limits): string {
  const clock = (moment: EpochMs): string => clockFrom(moment, begins, kitchen.timeZone);
  return [
    `${message.slice(0, 1).toUpperCase()}${message.slice(1)}`,
    '',
    'What fixes that',
    ...chain.flatMap((link) => [
      `  ${clock(link.start)} - ${clock(link.end)}  ${link.step}`,
      `      ${link.message}`,
    ]),
    '',
    ...bought(gains),
  ]
    .map(visible)
    .join('\n');
}

/** What buys the same stands together. */
function bought(gains: Limits['gains']): string[] {
  if (gains.length === 0) return ['No minute less on any one step would let work begin later.'];
  const groups = Map.groupBy(gains, ({ later }) => later);
  return [...groups].flatMap(([later, group], index) => [
    ...(index > 0 ? [''] : []),
    `Work could begin ${roughly(later)} later${group.length > 1 ? ' with any one of these' : ''}`,
    ...group.map(({ change }) => `  ${change}`),
  ]);
}
