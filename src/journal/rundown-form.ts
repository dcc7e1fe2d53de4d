import * as z from 'zod';
import { component, moment, name, span, step, words } from './shapes.ts';

/*
 * The written form of a demonstration's rundown, beside the workload and the timetable of its run. As in the rest of a setup,
 * what a later version adds is let through.
 */

const MOST = 10_000;
/** Seconds of time in hand, or of what is missing of it. */
const signed = z.number().min(-315_360_000).max(315_360_000);

const list = <T extends z.ZodType>(of: T): z.ZodReadonly<z.ZodArray<T>> => z.array(of).max(MOST).readonly();

const showing = z.object({
  step,
  start: moment,
  end: moment,
  shows: z.discriminatedUnion('kind', [
    z.object({
      kind: z.literal('step'),
      component,
      step,
      part: z.enum(['whole', 'first', 'last']),
      each: z.literal(true).optional(),
    }),
    z.object({ kind: z.enum(['talk', 'break', 'beauty']), about: words }),
  ]),
  action: words,
  length: z.object({ low: span, usual: span, high: span }),
  decides: z.enum(['presenter', 'nature']),
  shortest: span,
  longest: span,
  ends: z.enum(['press', 'clock']),
  say: words.optional(),
  from: z.discriminatedUnion('kind', [
    z.object({ kind: z.literal('nothing') }),
    z.object({ kind: z.literal('live'), since: step, steps: list(step) }),
    z.object({ kind: z.literal('swap'), swaps: list(name) }),
  ]),
  brings: list(
    z.discriminatedUnion('kind', [
      z.object({ kind: z.literal('swap'), swap: name }),
      z.object({ kind: z.literal('live'), step }),
    ]),
  ),
  after: list(step),
  slack: signed.optional(),
});

const swap = z.object({
  id: name,
  component,
  title: words,
  state: z.discriminatedUnion('kind', [
    z.object({ kind: z.literal('after'), step }),
    z.object({ kind: z.literal('inside'), step, left: span }),
  ]),
  use: z.enum(['shown', 'needed', 'beauty']),
  for: step,
  at: moment,
  copies: z.int().min(0).max(MOST),
  backups: z.int().min(0).max(MOST),
  factor: z.number().min(0),
  made: list(component),
  starts: moment,
  ready: moment,
  usableFrom: moment,
  useBy: moment.optional(),
  slack: signed.optional(),
  waits: list(z.object({ where: name, from: moment, until: moment })),
});

export const rundownShape = z.object({
  title: words,
  begins: moment,
  ends: moment,
  lasts: span,
  within: span,
  helper: z.boolean(),
  ovens: z.object({ onStage: list(name), behind: list(name) }),
  air: z.object({ places: step, onAir: step }).optional(),
  showings: list(showing),
  swaps: list(swap),
  jobs: list(
    z.object({
      who: z.enum(['presenter', 'helper']),
      step,
      start: moment,
      end: moment,
      onView: z.boolean(),
    }),
  ),
  proven: z.boolean(),
});
