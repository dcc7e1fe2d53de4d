import * as z from 'zod';
import type { RunSetup } from '../bench/index.ts';
import { rundownShape } from './rundown-form.ts';
import {
  component,
  degrees,
  heat,
  moment,
  name,
  span,
  step,
  temperature,
  timetable,
  words,
} from './shapes.ts';

/*
 * The written form of what a run begins from. A later version may add to its objects: what this one does not know is
 * let through and kept as it stands, since the value is checked and not copied.
 */

const count = z.int().min(0).max(1e9);
const place = z.object({ file: z.string(), line: count, column: count, endLine: count, endColumn: count });

const goal = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('reaches'), to: temperature }),
  z.object({ kind: z.literal('falls to'), to: temperature }),
  z.object({ kind: z.literal('between'), low: temperature, high: temperature }),
]);

const leafTrigger = [
  z.object({ kind: z.literal('cue'), text: words }),
  z.object({
    kind: z.literal('probe'),
    probe: name,
    goal,
    lasting: span,
    fromBoiling: z.literal(true).optional(),
  }),
  z.object({
    kind: z.literal('join'),
    probes: z.array(name).readonly(),
    goal,
    apart: degrees.optional(),
    lasting: span,
  }),
] as const;
const joinedTrigger = z.object({
  kind: z.enum(['any', 'all']),
  get of() {
    return z.array(z.discriminatedUnion('kind', [...leafTrigger, joinedTrigger])).readonly();
  },
});
const trigger = z.discriminatedUnion('kind', [...leafTrigger, joinedTrigger]);

const range = z.object({ low: span, usual: span, high: span });
const length = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('takes'), range }),
  z.object({ kind: z.literal('each'), per: span, pieces: count, range }),
  z.object({ kind: z.literal('rest'), atLeast: span, atMost: span.optional() }),
]);

const demand = z.object({
  oven: name.optional(),
  heat,
  door: z.enum(['shut', 'usable', 'ajar']),
  shelves: count,
});

const claim = z.object({ item: name, count });

const stepShape = z.object({
  id: step,
  component,
  name,
  action: words,
  length,
  hands: z.enum(['busy', 'near', 'free']),
  within: span.optional(),
  after: span,
  needs: z.array(step).readonly(),
  uses: z.array(claim).readonly(),
  holds: z.array(z.object({ item: name, count, until: step })).readonly(),
  oven: demand.optional(),
  turn: span.optional(),
  until: trigger.optional(),
  around: degrees.optional(),
  caution: words.optional(),
  place,
});

const componentShape = z.object({
  id: component,
  name,
  title: words,
  plan: count,
  keeps: span.optional(),
  cooling: z.enum(['cooked', 'ambient']).optional(),
  probe: name.optional(),
  depth: z.number().optional(),
  steps: z.array(stepShape).readonly(),
  place,
});

const clockTime = z.object({ hour: count, minute: count, date: z.string().max(20).optional() });

const plan = z.object({
  name,
  file: z.string(),
  title: words,
  makes: z.object({ count: z.number().min(0), of: words }),
  serve: clockTime.optional(),
  margin: span,
  prefer: z
    .array(z.enum(['fresh', 'day', 'oven']))
    .readonly()
    .optional(),
  components: z.array(component).readonly(),
});

const pace = z.union([z.number(), z.object({ from: degrees, to: degrees, in: span })]);
const oven = z.object({
  name,
  shelves: count,
  heats: pace,
  cools: pace,
  ajar: pace.optional(),
  open: pace.optional(),
  hottest: degrees.optional(),
  tolerance: degrees,
  soak: span,
  offset: degrees.optional(),
  overshoot: degrees.optional(),
  swing: degrees.optional(),
  load: degrees.optional(),
  given: z
    .array(
      z.enum([
        'heats',
        'cools',
        'ajar',
        'open',
        'hottest',
        'soak',
        'tolerance',
        'offset',
        'overshoot',
        'swing',
        'load',
      ]),
    )
    .readonly()
    .optional(),
  place: place.optional(),
});

const kitchen = z.object({
  name,
  title: words,
  timeZone: name,
  cooks: count,
  near: count,
  hours: z
    .array(z.union([z.object({ from: clockTime, to: clockTime }), z.literal('off')]))
    .readonly()
    .optional(),
  nights: z.literal('allowed').optional(),
  ambient: degrees,
  fridge: degrees.optional(),
  freezer: degrees.optional(),
  altitude: z.number().optional(),
  probes: z
    .array(
      z.object({
        name,
        low: degrees,
        high: degrees,
        fastest: z.number(),
        stale: span,
        iceWater: degrees,
        boilingWater: degrees.optional(),
        oven: name.optional(),
        mqtt: z.object({ topic: words, field: words.optional(), scale: z.enum(['C', 'F']) }).optional(),
      }),
    )
    .readonly()
    .optional(),
  broker: z
    .object({
      url: words,
      user: words.optional(),
      passwordFrom: words.optional(),
      authority: words.optional(),
      presence: words.optional(),
    })
    .optional(),
  ovens: z.array(oven).readonly(),
  items: z
    .array(
      z.object({
        name,
        kind: z.enum(['hob', 'cold shelf', 'tool']),
        count,
        carriesPieces: z.boolean(),
      }),
    )
    .readonly(),
  rules: name.optional(),
});

export const setupSchema = z.object({
  run: name,
  workload: z.object({
    kitchen,
    plans: z.array(plan).readonly(),
    components: z.array(componentShape).readonly(),
  }),
  timetable,
  begunAt: moment,
  rundown: rundownShape.optional(),
  keeps: z.literal('promise').optional(),
  rehearsal: z.object({ seed: z.number() }).optional(),
});

/** The compiler's word that every setup the bench begins from passes this form. */
export const everySetup = (setup: RunSetup): z.input<typeof setupSchema> => setup;
