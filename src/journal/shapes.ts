import * as z from 'zod';
import type { ComponentId, StepId } from '../plan/index.ts';

/*
 * The small shapes that setups and events are written from. Limits are far above what a plan may hold: they
 * are here to keep out what is absurd, not to judge.
 */

/** A moment in ms since the epoch, whole, up to the year 5138. */
export const moment = z.int().min(0).max(1e14);
/** Seconds, never negative; ten years at most. */
export const span = z.number().min(0).max(315_360_000);
/** The name of a thing in a plan or kitchen. */
export const name = z.string().min(1).max(300);
/** Words for people. */
export const words = z.string().max(10_000);

const branded = <Brand extends string>() =>
  z.custom<Brand>((value) => typeof value === 'string' && value.length > 0 && value.length <= 700);
export const step = branded<StepId>();
export const component = branded<ComponentId>();

export const degrees = z.number().min(-273.15).max(10_000);
export const temperature = z.strictObject({
  celsius: degrees,
  figure: z.number().min(-500).max(20_000),
  scale: z.enum(['C', 'F']),
});
export const heat = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('at'), temperature }),
  z.strictObject({ kind: z.literal('off') }),
]);

export const timetable = z.object({
  service: z.array(moment).readonly(),
  steps: z.array(z.object({ step, start: moment, end: moment, oven: name.optional() })).readonly(),
  settings: z.array(z.object({ oven: name, heat, at: moment, hotBy: moment, step })).readonly(),
});
