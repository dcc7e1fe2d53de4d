import type { Rundown as StageRundown, Swap } from '../../planner/index.ts';
import { wallClock, type EpochMs } from '../../units/index.ts';
import { labelPages, type LabelWords } from './boxes.ts';
import { onAir, placeOf, stageClock, stateWords } from './script.ts';

/** One label for each copy of each swap. */
export interface Label {
  readonly swap: string;
  readonly title: string;
  readonly state: string;
  /** This copy, counted from 1, and how many there are. */
  readonly copy: number;
  readonly copies: number;
  readonly backup: boolean;
  /** When it is wanted on air, and for what. */
  readonly at: EpochMs;
  readonly purpose: string;
  /** From when until when it is right. */
  readonly rightFrom: EpochMs;
  readonly useBy: EpochMs | undefined;
  readonly place: string;
}

/** Every copy of every swap, in the order of their use, the backups of each last. */
export const labelsOf = (rundown: StageRundown): Label[] =>
  rundown.swaps.flatMap((swap) =>
    Array.from({ length: swap.copies }, (_, index) => labelOf(rundown, swap, index + 1)),
  );

function labelOf(rundown: StageRundown, swap: Swap, copy: number): Label {
  return {
    swap: swap.id,
    title: swap.title,
    state: stateWords(swap),
    copy,
    copies: swap.copies,
    backup: copy > swap.copies - swap.backups,
    at: swap.at,
    purpose: purposeOf(rundown, swap),
    rightFrom: swap.usableFrom,
    useBy: swap.useBy,
    place: placeOf(rundown, swap),
  };
}

/** What it is for: the showing, or the step off view. */
export function purposeOf({ showings, workload }: StageRundown, { for: step }: Swap): string {
  const showing = showings.find((each) => each.step === step);
  const offView = workload.components.flatMap(({ steps }) => steps).find(({ id }) => id === step);
  return showing?.action ?? offView?.action ?? step;
}

/** The labels to cut out and stick on trays, on pages of A4. */
export const labelSheets = (rundown: StageRundown): string[] =>
  labelPages(labelsOf(rundown).map((label) => words(rundown, label)));

function words(rundown: StageRundown, label: Label): LabelWords {
  const zone = rundown.workload.kitchen.timeZone;
  return {
    name: `${label.swap}  ${label.title}`,
    copy: `${label.copy} of ${label.copies}`,
    ...(label.backup && { mark: 'BACKUP' }),
    lines: [
      label.state,
      `for ${onAir(rundown, label.at)} on air (${wallClock(label.at, zone)}): ${label.purpose}`,
      `right from ${stageClock(rundown, label.rightFrom)}`,
      ...(label.useBy === undefined ? [] : [`use by ${stageClock(rundown, label.useBy)}`]),
      `stands: ${label.place}`,
    ],
  };
}
