import type { Priority } from '../bench/index.ts';
import { wrap, type AheadView, type AlarmView, type AsideView } from '../view/index.ts';
import { asidesFor, type Aside } from './asides.ts';
import { BLANK, cutLine, ends, line, type Ink, type Line } from './lines.ts';

const INKS: Readonly<Record<AlarmView['priority'], Ink | undefined>> = {
  high: 'bad',
  medium: 'care',
  low: undefined,
};

/** How grave it is and which kind. */
function alarmHead(alarm: AlarmView, beat: boolean, number: string): Line {
  const ink = INKS[alarm.priority];
  return [
    { text: number },
    { text: ` ${alarm.mark} `, ink, bold: true },
    { text: alarm.priority.toUpperCase(), ink, bold: true, inverse: alarm.unheard && beat },
    { text: `  ${alarm.kind}`, bold: true },
    { text: alarm.firstOut ? ', the first' : '' },
  ];
}

const joined = (...parts: readonly (string | undefined)[]): Line =>
  line(`${parts.filter((part) => part !== undefined).join(', ')} `);

/** An alarm in one or two rows: how grave, what it is, how long there is; then what to do about it. */
export function paintAlarm(alarm: AlarmView, width: number, rows: 1 | 2, beat: boolean): Line[] {
  const head: Line = [...alarmHead(alarm, beat, ''), { text: `: ${alarm.cause}` }];
  // That it was heard needs no word where cells are few: what was not says so.
  const state = alarm.state === 'heard' && alarm.left !== undefined ? undefined : alarm.state;
  return [
    ends(head, joined(alarm.left, state), width),
    cutLine(line(`     ${alarm.action}  (else: ${alarm.consequence})`), width),
  ].slice(0, rows);
}

/** What the page of alarms shows. */
export interface AlarmsPage {
  readonly alarms: readonly AlarmView[];
  readonly ahead: readonly AheadView[];
  readonly asides: readonly AsideView[];
}

/** Every standing alarm in full, what the forecast sees, and what was set aside or is out of service. */
export function paintAlarms(page: AlarmsPage, width: number, rows: number, beat: boolean): Line[] {
  const { alarms, ahead, asides } = page;
  const inner = width - 6;
  const figure = (index: number): string => (index < 9 ? ` ${index + 1}` : '  ');
  const standing = alarms.map((alarm, index): Line[] => [
    BLANK,
    ends(alarmHead(alarm, beat, figure(index)), joined(alarm.left, alarm.state), width),
    ...wrap(alarm.cause, inner, 2).map((text) => line(`     ${text}`)),
    ...wrap(`else: ${alarm.consequence}`, inner, 2).map((text) => line(`     ${text}`)),
    ...wrap(`do: ${alarm.action}`, inner, 2).map((text) => line(`     ${text}`, { bold: true })),
  ]);
  const foreseen = ahead.map((clash, index): Line[] => [
    ...(index === 0 ? [BLANK, line('   ahead', { bold: true })] : []),
    cutLine([{ text: `     ${clash.share}`, bold: true }, { text: `: ${clash.when}` }], width),
    ...wrap(clash.why, inner - 2, 2).map((text) => line(`       ${text}`)),
  ]);
  const set = asides.map((aside, index): Line[] => [
    ...(index === 0 ? [BLANK, line('   not shown', { bold: true })] : []),
    cutLine(
      [
        { text: `${figure(alarms.length + index)}   ` },
        { text: aside.kind, bold: true },
        { text: `: ${aside.state}: ${aside.reason}${aside.cause === undefined ? '' : ` (${aside.cause})`}` },
      ],
      width,
    ),
  ]);
  const nothing = alarms.length === 0 ? [[BLANK, line('   nothing is wrong')]] : [];
  return firstThatFit([...nothing, ...standing, ...foreseen, ...set], rows);
}

function firstThatFit(blocks: readonly Line[][], rows: number): Line[] {
  const kept: Line[] = [];
  for (const [index, block] of blocks.entries()) {
    const last = index === blocks.length - 1;
    if (kept.length + block.length > rows - (last ? 0 : 1))
      return [...kept, line(`     and ${blocks.length - index} more`)];
    kept.push(...block);
  }
  return kept;
}

/** The ways to set an alarm aside, while the cook is asked for one. */
export function paintAside(
  alarm: AlarmView | undefined,
  { name, priority }: { readonly name: string; readonly priority: Priority },
  width: number,
  rows: number,
): Line[] {
  const inner = width - 6;
  const cause = alarm === undefined ? [] : wrap(alarm.cause, inner, 2).map((text) => line(`     ${text}`));
  const entry = ({ key, minutes, reason }: Aside): Line =>
    cutLine(
      [
        { text: `   ${key}  `, bold: true },
        { text: minutes === undefined ? `whole run: ${reason}` : `${`${minutes} min`.padEnd(8)} ${reason}` },
      ],
      width,
    );
  const ways = asidesFor(priority);
  const forNow = ways.filter((each) => each.minutes !== undefined).map(entry);
  const forGood = ways.filter((each) => each.minutes === undefined).map(entry);
  const head = line(`   set aside: ${name}`, { bold: true });
  const kind = line(`   no alarm of this kind in this run:`, { bold: true });
  const full = [BLANK, head, ...cause, BLANK, ...forNow, BLANK, kind, ...forGood];
  // On the least screen only the ways themselves.
  return (full.length <= rows ? full : [...forNow, ...forGood]).slice(0, rows);
}
