import * as z from 'zod';
import type { BenchEvent, Happening, RunSetup, Source } from '../bench/index.ts';
import { epochMs, temperatureOf } from '../units/index.ts';
import { done, failed, type Result } from './problem.ts';
import { everySetup, setupSchema } from './setup-form.ts';
export { setupSchema };
import { component, heat, moment, name, step, span, temperature, timetable, words } from './shapes.ts';

/*
 * How an event is written down. This form belongs to the journal: code elsewhere never sees it, and it may only change
 * together with a new number and with a reader for the old form, since recordings of every form must replay for ever.
 *
 * An event is written in the earliest form that has a word for it, so that an older program reads what it can. Form 2 is
 * form 1 and the words for new timetables; form 3 has those for heat: turning, setting alarms aside, quiet, feeds, forecasts,
 * and more than one way out; form 4 has the new length of a step, cut or stretched, and services that
 * are moved.
 */

const NEWEST_FORM = 4;
const SINCE_FORM_2: ReadonlySet<Happening['kind']> = new Set([
  'timetable asked',
  'proposed',
  'not proposed',
  'declined',
]);
const SINCE_FORM_3: ReadonlySet<Happening['kind']> = new Set([
  'turned',
  'shelved',
  'unshelved',
  'out of service',
  'in service',
  'quiet',
  'sound test',
  'feed',
  'forecast',
]);

const SINCE_FORM_4: ReadonlySet<Happening['kind']> = new Set(['length', 'service moved', 'spoilt']);

function formOf(happening: Happening): number {
  if (SINCE_FORM_4.has(happening.kind)) return 4;
  if (SINCE_FORM_3.has(happening.kind)) return 3;
  if (happening.kind === 'proposed' && happening.others !== undefined) return 3;
  return SINCE_FORM_2.has(happening.kind) ? 2 : 1;
}

const source = z.enum(['cook', 'clock', 'probe', 'rehearsal']);

/** The key of a situation: at most two steps by name, and a word. */
const situation = z.string().min(1).max(2000);
/** Far more than a plan can have. */
const MOST = 10_000;
const offer = {
  timetable,
  changes: z
    .array(
      z.strictObject({
        step: step.optional(),
        oven: name.optional(),
        message: words,
        from: moment,
        to: moment,
      }),
    )
    .max(MOST)
    .readonly(),
  serviceMoved: z
    .array(z.strictObject({ plan: z.int().min(0).max(MOST), from: moment, to: moment }))
    .max(MOST)
    .readonly(),
  broken: z
    .array(z.strictObject({ steps: z.array(step).readonly(), message: words }))
    .max(MOST)
    .readonly(),
};

const alarmKey = z.string().min(1).max(1000);
const alarmKind = z.enum([
  'not started',
  'waits',
  'waited too long',
  'keeps',
  'kept too long',
  'runs over',
  'oven clash',
  'oven not hot',
  'hands clash',
  'door opened early',
  'late for service',
  'probe',
  'cooling',
  'cooling limit passed',
  'not there in time',
  'oven off its mark',
  'not turned',
  'clash ahead',
]);
const tally = z.int().min(0);
const serviceMove = { plan: z.int().min(0).max(MOST), to: moment };

/**
 * A happening from outside: from a board's line or a journal's row. Unknown words and impossible figures are refused.
 * It is a check, not a conversion: what passes is used as it was.
 */
export const happeningSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('clock') }),
  z.strictObject({ kind: z.literal('start'), step, at: moment }),
  z.strictObject({ kind: z.literal('done'), step, at: moment }),
  z.strictObject({ kind: z.literal('reading'), probe: name, temperature: temperature.refine(agrees) }),
  z.strictObject({ kind: z.literal('oven set'), oven: name, heat }),
  z.strictObject({ kind: z.literal('door'), oven: name, door: z.enum(['shut', 'open', 'ajar']) }),
  z.strictObject({ kind: z.literal('timer'), name, length: span }),
  z.strictObject({ kind: z.literal('timer done'), name }),
  z.strictObject({ kind: z.literal('more'), step, length: span }),
  z.strictObject({ kind: z.literal('length'), step, length: span }),
  z.strictObject({ kind: z.literal('skip'), step }),
  z.strictObject({ kind: z.literal('spoilt'), swap: name }),
  z.strictObject({ kind: z.literal('lost'), component }),
  z.strictObject({ kind: z.literal('heard'), key: alarmKey }),
  z.strictObject({ kind: z.literal('served') }),
  z.strictObject({ kind: z.literal('undo') }),
  z.strictObject({ kind: z.literal('timetable'), timetable }),
  z.strictObject({
    kind: z.literal('service moved'),
    ...serviceMove,
    also: z.array(z.strictObject(serviceMove)).max(MOST).readonly().optional(),
    timetable: timetable.optional(),
  }),
  z.strictObject({ kind: z.literal('timetable asked') }),
  z.strictObject({
    kind: z.literal('proposed'),
    because: situation,
    ...offer,
    others: z
      .array(z.strictObject({ what: words, ...offer }))
      .max(2)
      .readonly()
      .optional(),
  }),
  z.strictObject({
    kind: z.literal('not proposed'),
    because: situation,
    outcome: z.enum(['as told', 'none', 'unknown', 'failed']),
    why: words,
  }),
  z.strictObject({ kind: z.literal('declined') }),
  z.strictObject({ kind: z.literal('turned'), step }),
  z.strictObject({ kind: z.literal('shelved'), key: alarmKey, length: span, reason: words }),
  z.strictObject({ kind: z.literal('unshelved'), key: alarmKey }),
  z.strictObject({ kind: z.literal('out of service'), alarm: alarmKind, reason: words }),
  z.strictObject({ kind: z.literal('in service'), alarm: alarmKind }),
  z.strictObject({ kind: z.literal('quiet'), length: span }),
  z.strictObject({ kind: z.literal('sound test'), priority: z.enum(['low', 'medium', 'high']) }),
  z.strictObject({
    kind: z.literal('feed'),
    feed: name,
    state: z.enum(['on', 'off']),
    detail: words,
    used: tally,
    thinned: tally,
    refused: tally,
  }),
  z.strictObject({
    kind: z.literal('forecast'),
    of: moment,
    clashes: z
      .array(
        z.strictObject({
          key: situation,
          kind: z.enum(['oven', 'not hot', 'hands']),
          steps: z.array(step).max(2).readonly(),
          why: words,
          chance: z.union([z.literal('certain'), z.number().min(0).max(1)]),
          soonest: moment,
          usual: moment,
        }),
      )
      .max(100)
      .readonly(),
  }),
  z.strictObject({
    kind: z.literal('gap'),
    from: moment,
    reason: z.enum(['keeper stopped', 'machine slept', 'clock stepped']),
  }),
]);

/** Whether both figures of a temperature say the same, so that a forged pair cannot show one and count another. */
function agrees(of: {
  readonly celsius: number;
  readonly figure: number;
  readonly scale: 'C' | 'F';
}): boolean {
  return Math.abs(temperatureOf(of.figure, of.scale).celsius - of.celsius) < 1e-6;
}

/** The compiler's word that every happening the bench knows has a written form. */
const everyHappening = (happening: Happening): z.input<typeof happeningSchema> => happening;

/** An event as a row holds it. */
export interface WrittenEvent {
  readonly id: string;
  readonly time: number;
  readonly form: number;
  readonly json: string;
}

/** Writes an event down. */
export function encodeEvent(event: BenchEvent): WrittenEvent {
  const { id, time, source: from, ...happening } = event;
  return {
    id,
    time,
    form: formOf(happening),
    json: JSON.stringify({ source: from, happening: everyHappening(happening) }),
  };
}

const bodySchema = z.strictObject({ source, happening: happeningSchema });

/** What a row's JSON holds once it is checked. */
interface Body {
  readonly source: Source;
  readonly happening: Happening;
}

/** Reads an event back; refuses what is no event of a form this program knows, and says why. */
export function decodeEvent(row: WrittenEvent): Result<BenchEvent> {
  if (row.form < 1 || row.form > NEWEST_FORM)
    return unreadable(`it is in form ${row.form}, which this program does not know`);
  if (!Number.isSafeInteger(row.time) || row.id === '') return unreadable('its time or name is missing');
  const raw = parseJson(row.json);
  const checked = bodySchema.safeParse(raw);
  if (!checked.success) return unreadable(summary(checked.error));
  const { happening, source: from } = raw as Body;
  if (formOf(happening) > row.form) return unreadable(`form ${row.form} has no word for "${happening.kind}"`);
  return done({ id: row.id, time: epochMs(row.time), source: from, ...happening });
}

/** Writes the setup down. */
export const encodeSetup = (setup: RunSetup): string => JSON.stringify(everySetup(setup));

/** Reads a setup back. */
export function decodeSetup(json: string): Result<RunSetup> {
  const raw = parseJson(json);
  const checked = setupSchema.safeParse(raw);
  return checked.success ? done(raw as RunSetup) : unreadable(summary(checked.error));
}

const unreadable = (why: string): Result<never> =>
  failed('not writable as an event', why, 'the journal is damaged or was changed by hand');

/** What the JSON says, or undefined where it is none. */
export function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

/** The first thing that is wrong, in one short line. */
function summary(error: z.ZodError): string {
  const [issue] = error.issues;
  if (issue === undefined) return 'it cannot be understood';
  const where = issue.path.map(String).join('.');
  return `${where === '' ? '' : `${where}: `}${issue.message}`.slice(0, 200);
}
