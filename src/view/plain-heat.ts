import type { AheadView } from './ahead.ts';
import type { AsideView } from './alarms.ts';
import type { HeatView } from './temperatures.ts';

/** Probes, cooling clocks and feeds, a line each, for plain lines: only what was read or is wrong. */
export function heatLines({ probes, clocks, rules, feeds }: HeatView): string[] {
  return [
    ...probes
      .filter(({ reads, fault }) => reads !== undefined || fault !== undefined)
      .map(({ name, inside, reads, age, fault, ahead }) =>
        [
          `probe ${name}${inside === '' ? '' : ` in ${inside}`}: ${reads === undefined ? 'not read yet' : `${reads} ${age}`}`,
          ...(fault === undefined ? [] : [`not believed: ${fault}`]),
          ...(ahead === undefined ? [] : [ahead]),
        ].join(', '),
      ),
    ...clocks.map(({ who, text, says }) => `cooling ${who}: ${text}${says === undefined ? '' : `. ${says}`}`),
    ...(rules === undefined ? [] : [rules]),
    ...feeds.map(({ name, text }) => `feed ${name}: ${text}`),
  ];
}

/** What the forecast sees, and alarms that are not shown. */
export const asideLines = (ahead: readonly AheadView[], asides: readonly AsideView[]): string[] => [
  ...ahead.map(({ share, why, when }) => `ahead, ${share}, ${when}: ${why}`),
  ...asides.map(({ kind, cause, state, reason }) =>
    [`${kind}: ${state}: ${reason}`, ...(cause === undefined ? [] : [`(${cause})`])].join(' '),
  ),
];
