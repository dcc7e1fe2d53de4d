import type { Rundown as StageRundown, Swap } from '../../planner/index.ts';
import {
  clockFrom,
  countdown,
  formatDuration,
  roughly,
  seconds,
  secondsBetween,
  type EpochMs,
} from '../../units/index.ts';
import { dayAndClock } from '../clock.ts';
import { columnsOf, dayLines, paged, type TextOptions } from '../text.ts';
import { wrapped } from '../wrap.ts';
import { labelSheets, purposeOf } from './labels.ts';
import { amountsOf, prepOf, type Amount } from './prep.ts';
import { isTight, onAir, placeOf, scriptOf, stageClock, stateWords, tightWords, type Row } from './script.ts';

/** The papers of a demonstration: what happens on air, what stands ready with its labels, and the work before. */
export const STAGE_PAPERS = ['rundown', 'labels', 'prep'] as const;
export type StagePaper = (typeof STAGE_PAPERS)[number];

/** One paper as pages of plain text without escapes, each ending with a line feed. Labels fill pages of A4, the others one long page. */
export function stageText(rundown: StageRundown, paper: StagePaper, options: TextOptions = {}): string[] {
  const columns = columnsOf(options);
  switch (paper) {
    case 'rundown':
      return [
        paged([
          ...head(rundown, columns),
          '',
          ...rundownLines(rundown, columns),
          '',
          ...swapLines(rundown, columns),
        ]),
      ];
    case 'labels':
      return labelSheets(rundown).map((page) => `${page}\n`);
    case 'prep':
      return [paged([...prepHead(rundown, columns), ...dayLines(prepOf(rundown), columns, 'ON AIR')])];
  }
}

function head(rundown: StageRundown, columns: number): string[] {
  return headWords(rundown).flatMap((line, place) =>
    wrapped(line, place === 0 ? '' : '  ', place === 0 ? '  ' : '    ', columns),
  );
}

/** What the first lines of every form say, the title first. */
export function headWords({
  title,
  begins,
  ends,
  lasts,
  within,
  helper,
  ovens,
  workload,
  proven,
}: StageRundown): string[] {
  const zone = workload.kitchen.timeZone;
  const places = [
    ...(ovens.onStage.length > 0 ? [`on stage: ${ovens.onStage.join(', ')}`] : []),
    ...(ovens.behind.length > 0 ? [`behind: ${ovens.behind.join(', ')}`] : []),
  ];
  return [
    title,
    `on air ${dayAndClock(begins, zone)} to ${clockFrom(ends, begins, zone)}, ${formatDuration(lasts)}; the end may be ${formatDuration(within)} off`,
    [helper ? 'with a helper' : 'without a helper', ...places].join('; '),
    ...(proven ? [] : ['there may be a way with fewer swaps or less work before: not all were tried']),
  ];
}

const LEAD = 2 + 5 + 2 + 5 + 2 + 5 + 2 + 6 + 2;

function rundownLines(rundown: StageRundown, columns: number): string[] {
  return [
    `  ${'on air'.padStart(5)} ${'left'.padStart(5)}  ${'for'.padStart(5)}`,
    ...scriptOf(rundown).rows.flatMap((row) => rowLines(rundown, row, columns)),
    `  ${onAir(rundown, rundown.ends).padStart(5)}  ${'0:00'.padStart(5)}  ${''.padStart(5)}  END`,
  ];
}

/** Whether the audience sees it. */
export const isSeen = ({ kind }: Row): boolean => ['show', 'talk', 'break', 'beauty'].includes(kind);

function rowLines(rundown: StageRundown, row: Row, columns: number): string[] {
  const [now, left] = [onAir(rundown, row.at), leftAt(rundown, row.at)].map((each) => each.padStart(5));
  const length = countdown(secondsBetween(row.at, row.end)).padStart(5);
  const kind = isSeen(row) ? row.kind.toUpperCase() : row.kind;
  const lead = `  ${now}  ${left}  ${length}  ${kind.padEnd(6)}  `;
  const under = ' '.repeat(LEAD);
  return [
    ...(isSeen(row) ? [''] : []),
    ...wrapped(row.what, lead, `${under}  `, columns),
    ...row.details.flatMap(({ name, words }) =>
      wrapped(words, `${under}${name.padEnd(7)}`, `${under}${' '.repeat(7)}`, columns),
    ),
  ];
}

/** Time on air that is left: `4:40`. */
export const leftAt = ({ ends }: StageRundown, moment: EpochMs): string =>
  countdown(secondsBetween(moment, ends));

function swapLines(rundown: StageRundown, columns: number): string[] {
  const unbacked = (rundown.unbacked ?? []).map((title) => `no backup of ${title}: nothing of it is fetched`);
  if (rundown.swaps.length === 0) return ['Swaps: none, everything is made on air', ...unbacked];
  return [
    'Swaps',
    ...unbacked.flatMap((words) => wrapped(words, '  ', '    ', columns)),
    ...rundown.swaps.flatMap((swap) => [
      ...wrapped(
        `${swap.title} ${stateWords(swap)}: ${copiesWords(swap)}`,
        `  ${swap.id.padEnd(2)} `,
        '     ',
        columns,
      ),
      ...swapDetails(rundown, swap).flatMap((words) => wrapped(words, '     ', '       ', columns)),
    ]),
  ];
}

/** `2 copies, 1 of them a backup; 2 times the plan's amounts` */
export function copiesWords({ copies, backups, factor }: Swap): string {
  const spare =
    backups === 0
      ? ''
      : copies === backups
        ? ', a backup'
        : `, ${backups} of them ${backups === 1 ? 'a backup' : 'backups'}`;
  return `${copies} ${copies === 1 ? 'copy' : 'copies'}${spare}; ${timesWords(factor)}`;
}

/** `the plan's amounts`, or `3 times the plan's amounts`. */
const timesWords = (times: number): string =>
  times === 1 ? "the plan's amounts" : `${Math.round(times * 100) / 100} times the plan's amounts`;

/** For what, from when to when, and where it waits: a clause each. */
export function swapDetails(rundown: StageRundown, swap: Swap): string[] {
  const clock = (moment: EpochMs): string => stageClock(rundown, moment);
  const waits = swap.waits.map(
    ({ where, from, until }) =>
      `${where} ${clock(from)} to ${clock(until)} (${roughly(seconds(secondsBetween(from, until)))})`,
  );
  return [
    `for ${onAir(rundown, swap.at)} on air: ${purposeOf(rundown, swap)}`,
    `begin ${clock(swap.starts)}; right from ${clock(swap.usableFrom)}${swap.useBy === undefined ? ', and keeps' : `, use by ${clock(swap.useBy)}`}`,
    ...(waits.length > 0 ? [`waits: ${waits.join(', then ')}`] : [`waits: ${placeOf(rundown, swap)}`]),
    ...(isTight(swap) ? [`tight: ${tightWords(swap.slack)}`] : []),
  ];
}

function prepHead(rundown: StageRundown, columns: number): string[] {
  const amounts = amountsOf(rundown);
  return [
    ...wrapped(`${rundown.title}: work off stage`, '', '  ', columns),
    ...(amounts.length > 0 ? ['', 'Weigh out'] : []),
    ...amounts.flatMap((amount) => wrapped(amountWords(amount), '  ', '    ', columns)),
  ];
}

/** `Plum cream: 2 times the plan's amounts (A)` */
export const amountWords = ({ title, times, uses }: Amount): string =>
  `${title}: ${timesWords(times)} (${uses.join(', ')})`;
