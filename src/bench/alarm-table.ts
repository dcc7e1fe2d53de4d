import type { Priority } from './events.ts';
import type { AlarmKind } from './state.ts';

/** What it costs if nobody answers: a little is lost, something is spoilt or service suffers, or food and people may be harmed. */
export type Severity = 'minor' | 'spoils' | 'harms';
/** How long there is to answer: under two minutes, under a quarter of an hour, or longer. */
export type Response = 'at once' | 'soon' | 'later';

/**
 * What is settled of a kind of alarm before it is ever raised, after ANSI/ISA-18.2 and IEC 62682: each has a cause, a
 * consequence, an answer and a time to give it, and its priority follows from the last two.
 */
export interface AlarmRule {
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  readonly severity: Severity;
  readonly response: Response;
  /** It must have stood for so long before it is raised, s. */
  readonly onDelay: number;
  /** Its cause must be gone for so long before it is over, s. */
  readonly offDelay: number;
  /** When it is raised, and what keeps it from fluttering. */
  readonly raised: string;
  /** Kinds that explain it: while one of them stands for the same component it is left out, by design. */
  readonly suppressedBy: readonly AlarmKind[];
}

/** Priority from severity and time to respond. */
const MATRIX: Readonly<Record<Severity, Readonly<Record<Response, Priority>>>> = {
  minor: { 'at once': 'low', soon: 'low', later: 'low' },
  spoils: { 'at once': 'high', soon: 'medium', later: 'low' },
  harms: { 'at once': 'high', soon: 'high', later: 'medium' },
};

/** Seconds for what is foreseen: a press may settle it, and what comes after it changes with every step. */
const FORESEEN = { onDelay: 60, offDelay: 60 } as const;
/** For what is there. */
const PRESENT = { onDelay: 0, offDelay: 0 } as const;

/** Every kind of alarm. */
export const ALARM_TABLE: Readonly<Record<AlarmKind, AlarmRule>> = {
  'not started': {
    cause: 'a step was called, and no start is known',
    consequence: 'what follows moves back',
    action: 'start it, or date it back',
    severity: 'minor',
    response: 'soon',
    ...PRESENT,
    raised: '3 min after the call was due',
    suppressedBy: ['waits', 'waited too long'],
  },
  waits: {
    cause: 'a step may follow only `within` so long, and that is running out',
    consequence: 'what waits spoils',
    action: 'start it now',
    severity: 'spoils',
    response: 'soon',
    ...PRESENT,
    raised: 'a quarter of the time before its end (1 to 5 min), if the step is due or is expected to miss it',
    suppressedBy: ['waited too long'],
  },
  'waited too long': {
    cause: 'that time is over',
    consequence: 'what waits is spoiling',
    action: 'start it, or make the component again',
    severity: 'spoils',
    response: 'at once',
    ...PRESENT,
    raised: '30 s after the end',
    suppressedBy: [],
  },
  keeps: {
    cause: 'a finished component `keeps` so long, or a rest may last so long, and its end will come too late',
    consequence: 'it is used too late, or is no longer as wanted',
    action: 'bring its use forward, or take it on',
    severity: 'spoils',
    response: 'soon',
    ...FORESEEN,
    raised: 'a tenth of the time before its end (1 to 30 min); low where it is a rest',
    suppressedBy: ['kept too long'],
  },
  'kept too long': {
    cause: 'either of these times is over',
    consequence: 'it is past what the plan allows',
    action: 'judge it, make it again; or take it on',
    severity: 'spoils',
    response: 'soon',
    ...PRESENT,
    raised: '30 s after the end',
    suppressedBy: [],
  },
  'runs over': {
    cause: 'a step has taken longer than its range',
    consequence: 'what is left of the margin, or how late service is',
    action: 'look at it: end it, date it back, or give it minutes',
    severity: 'minor',
    response: 'soon',
    ...PRESENT,
    raised: '30 s after the range; for `each` a quarter of it, at least 1 min',
    suppressedBy: ['probe', 'not there in time', 'cooling', 'cooling limit passed'],
  },
  'oven clash': {
    cause: 'as things go, two steps want from one oven what it cannot give both',
    consequence: 'one is baked wrong or has to wait, and what that breaks',
    action: 'move one: hold it back, or take the other out first',
    severity: 'spoils',
    response: 'soon',
    ...FORESEEN,
    raised: 'as soon as it is foreseen',
    suppressedBy: [],
  },
  'oven not hot': {
    cause: 'the oven will not be right when a step wants it',
    consequence: 'the step starts late or in a cold oven',
    action: 'turn the knob, hold back what would wait',
    severity: 'spoils',
    response: 'soon',
    ...FORESEEN,
    raised:
      'over 5 min late; over 1 min if a window breaks or the knob is 2 min overdue; low where no window is at stake',
    suppressedBy: ['oven off its mark', 'oven clash'],
  },
  'hands clash': {
    cause: 'as things go, more steps want both hands than there are cooks',
    consequence: 'one has to wait, and what that breaks',
    action: 'let one wait, or start it first',
    severity: 'minor',
    response: 'soon',
    ...FORESEEN,
    raised: '15 min ahead, where the wait is over 5 min or breaks a window',
    suppressedBy: ['oven clash'],
  },
  'door opened early': {
    cause: 'a door is open that has to stay shut',
    consequence: 'what has risen may fall; the degrees and minutes it costs',
    action: 'shut the door',
    severity: 'spoils',
    response: 'at once',
    ...PRESENT,
    raised: 'at once; an opening for turning a tray is none',
    suppressedBy: [],
  },
  'late for service': {
    cause: 'what is left no longer fits before service, done as soon as it can be',
    consequence: 'service is so much late',
    action: 'look at new timetables, leave something out, get help, or tell the table',
    severity: 'spoils',
    response: 'soon',
    ...FORESEEN,
    raised: 'when the margin falls under -1 min; over when it is 0 again',
    suppressedBy: [],
  },
  probe: {
    cause: 'a probe that a running step waits for is silent, stands still, jumps, or reads what it cannot',
    consequence: 'it would not be seen when it is there',
    action: 'look at the probe; read by hand, or end by eye',
    severity: 'spoils',
    response: 'soon',
    onDelay: 0,
    offDelay: 300,
    raised: 'after a minute of it, or when it has been silent for its time while it is waited for',
    suppressedBy: [],
  },
  cooling: {
    cause: 'by the chosen rules food has to be so cold by then, and will hardly be',
    consequence: 'the rule is not met',
    action: 'cool it faster: shallower, on ice, stirred',
    severity: 'harms',
    response: 'later',
    ...FORESEEN,
    raised:
      'when its prediction lies after the limit, or a tenth of the time is left; 1 C of doubt is allowed for',
    suppressedBy: ['cooling limit passed'],
  },
  'cooling limit passed': {
    cause: 'a limit of the chosen rules is over, and no reading meets it',
    consequence: 'the rule is not met',
    action: 'do what your own food safety plan says',
    severity: 'harms',
    response: 'soon',
    ...PRESENT,
    raised: 'when the time is over',
    suppressedBy: [],
  },
  'not there in time': {
    cause: 'by its readings a body comes to its temperature later than it is wanted',
    consequence: 'what needs it waits',
    action: 'shallower, on ice, stirred; or hold back what needs it',
    severity: 'spoils',
    response: 'soon',
    ...FORESEEN,
    raised:
      'when three chances in four are that it is over 3 min late; over when it is no longer late at all',
    suppressedBy: ['cooling', 'cooling limit passed'],
  },
  'oven off its mark': {
    cause: 'by its probe an oven is not what it should be: too low, too high, or not heating',
    consequence: 'what is in it bakes too slowly or too fast',
    action: 'look at knob, door and heater; turn the knob',
    severity: 'spoils',
    response: 'soon',
    ...PRESENT,
    raised: 'by the mean of five minutes beyond tolerance and swing; over within 60 % of that',
    suppressedBy: [],
  },
  'not turned': {
    cause: 'what is in an oven should have been turned round',
    consequence: 'one side bakes darker',
    action: 'turn it round',
    severity: 'minor',
    response: 'soon',
    ...PRESENT,
    raised: '3 min after the call',
    suppressedBy: [],
  },
  'clash ahead': {
    cause: 'over the ranges of what is open, two demands clash in many cases',
    consequence: 'one of the two has to wait, or is done wrong',
    action: 'hold one back, or look at new timetables',
    severity: 'minor',
    response: 'later',
    ...FORESEEN,
    raised: 'in half of the cases or more, and within 40 min; over under three in ten',
    suppressedBy: ['oven clash', 'oven not hot', 'hands clash'],
  },
};

/** The priority of a kind of alarm; `minor` where in this case less is at stake than its kind may cost. */
export function priorityOf(kind: AlarmKind, minor: 'minor' | 'as its kind' = 'as its kind'): Priority {
  const { severity, response } = ALARM_TABLE[kind];
  return MATRIX[minor === 'minor' ? 'minor' : severity][response];
}

/** The table as the page on alarms has it. */
export function alarmTableText(): string {
  const rows = Object.entries(ALARM_TABLE).map(([kind, rule]) => {
    const { cause, consequence, action, severity, response, onDelay, offDelay, raised, suppressedBy } = rule;
    const priority = MATRIX[severity][response];
    const delays = onDelay + offDelay === 0 ? 'none' : `${onDelay} s, ${offDelay} s`;
    const cells = [
      kind,
      cause,
      consequence,
      action,
      severity,
      response,
      priority,
      raised,
      delays,
      suppressedBy.join(', ') || 'nothing',
    ];
    return `| ${cells.join(' | ')} |`;
  });
  return [
    '| alarm | cause | consequence | what to do | severity | answer | priority | raised, and over | delays | left out under |',
    '| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |',
    ...rows,
  ].join('\n');
}
