import { z } from 'zod';
import { DEFAULTS } from './defaults.ts';
import { demonstrationShape } from './demonstration-shape.ts';
import { inlineKitchenShape, version } from './kitchen-shape.ts';
import type { Preference } from './model.ts';
import * as words from './words.ts';

/**
 * The shape of plan files (kitchen-shape.ts has that of kitchens): the one source of the types that the reader gives, of
 * what is checked word by word, and of the JSON Schemas in docs/. What words mean together is checked afterwards (see
 * steps.ts and links.ts).
 */

/** What a timetable may be best at, in the order that holds where a plan says nothing. */
export const PREFERENCES = ['fresh', 'day', 'oven'] as const satisfies readonly Preference[];

/** Longest lists that a step may have. */
const MAX_LIST = 20;
export const MAX_STEPS = 2000;
const MAX_COMPONENTS = 200;
/** any/all within any/all. */
export const MAX_TRIGGER_DEPTH = 4;

const listOf = <T extends z.ZodType>(item: T) => z.array(item).meta({ maxItems: MAX_LIST });

/** What ends a step, as it is written: exactly one of cue, probe, probes, any, all. */
export interface TriggerWords {
  cue?: string | undefined;
  probe?: string | undefined;
  probes?: string[] | undefined;
  reaches?: z.output<typeof words.temperature> | undefined;
  'falls to'?: z.output<typeof words.temperature> | undefined;
  between?: z.output<typeof words.temperatureRange> | undefined;
  apart?: z.output<typeof words.temperatureSpan> | undefined;
  for?: z.output<typeof words.length> | undefined;
  'sea level'?: true | undefined;
  any?: TriggerWords[] | undefined;
  all?: TriggerWords[] | undefined;
}

/** How many probes may be joined in one trigger. */
export const LEAST_JOINED = 2;
const MOST_JOINED = 4;
const ONE_GOAL = [{ required: ['reaches'] }, { required: ['falls to'] }, { required: ['between'] }];

const trigger: z.ZodType<TriggerWords> = z.lazy(() => triggerShape);
const triggerShape = z
  .strictObject({
    cue: words.text.describe('Doneness that is seen or felt; a person confirms it.').optional(),
    probe: words.name.describe('The probe that is read, named by what it stands in.').optional(),
    probes: z
      .array(words.name)
      .meta({ title: 'a list of probes', minItems: LEAST_JOINED, maxItems: MOST_JOINED })
      .describe('Probes that must all be at the goal at the same time.')
      .optional(),
    reaches: words.temperature.describe('Ends when the probe stands at or above this.').optional(),
    'falls to': words.temperature.describe('Ends when the probe stands at or below this.').optional(),
    between: words.temperatureRange.describe('Ends when the probe stands within this range.').optional(),
    apart: words.temperatureSpan
      .describe('Of several probes: how far they may differ from each other.')
      .optional(),
    for: words.length
      .describe('How long the reading must hold, so that one spike ends nothing.')
      .meta({ default: DEFAULTS.probeLasting })
      .optional(),
    'sea level': z
      .literal(true)
      .meta({ title: 'true' })
      .describe(
        'The temperature is told for sea level, as those of sugar are: it falls with the boiling point of water.',
      )
      .optional(),
    any: listOf(trigger).describe('Ends with the first of these.').optional(),
    all: listOf(trigger).describe('Ends when each of these has been met.').optional(),
  })
  .meta({
    id: 'trigger',
    title: 'a trigger',
    examples: [{ cue: 'firm to the touch' }, { probe: 'cream', 'falls to': '5 C' }],
    oneOf: [
      { required: ['cue'] },
      { required: ['probe'], oneOf: ONE_GOAL },
      { required: ['probes'], oneOf: ONE_GOAL },
      { required: ['any'] },
      { required: ['all'] },
    ],
  });

export const ovenDemandShape = z
  .strictObject({
    at: words.temperature.describe('The temperature the oven is wanted at.').optional(),
    off: z.literal(true).meta({ title: 'true' }).describe('The oven is wanted switched off.').optional(),
    door: z
      .enum(['shut', 'usable', 'ajar'])
      .describe(
        'shut: nobody opens it during this step. usable: others may go in and out. ajar: it stands open a crack.',
      )
      .meta({ default: 'usable' })
      .optional(),
    shelves: words
      .count(1, 50)
      .describe('Shelves taken by the base yield; they grow with it.')
      .meta({ default: 1 })
      .optional(),
    oven: words.name.describe('Which oven of the kitchen; any will do where this is left out.').optional(),
  })
  .meta({
    id: 'oven-demand',
    title: 'an oven demand',
    examples: [{ at: '180 C', door: 'shut' }],
    oneOf: [{ required: ['at'] }, { required: ['off'] }],
  });

const claim = z.union([
  words.name,
  z.strictObject({ item: words.name, count: words.count(1, words.MAX_COUNT).optional() }),
]);

export const stepShape = z
  .strictObject({
    takes: words.ends.describe('How long nature may take; nature decides, the cook confirms.').optional(),
    usually: words.length
      .describe('The usual length within a range; the middle where this is left out.')
      .optional(),
    each: words.lengthEach.describe('So long for each piece; multiplied by the yield.').optional(),
    rest: words.window
      .describe('How long it may be left: at least, at most. The planner decides.')
      .optional(),
    hands: z
      .enum(['busy', 'near', 'free'])
      .describe(
        'busy: both hands taken. near: stay in earshot. free: no cook needed. free if left out, busy with each.',
      )
      .optional(),
    within: words.length.describe('The longest wait after the step before it.').optional(),
    after: words.length.describe('The shortest wait after the step before it.').optional(),
    needs: z
      .union([words.reference, listOf(words.reference)])
      .describe('Components, or component.step, that must have ended before this step starts.')
      .optional(),
    uses: z
      .union([words.name, listOf(claim)])
      .describe('Equipment claimed for the whole step.')
      .optional(),
    holds: z
      .record(words.name, words.reference)
      .describe('Equipment kept from the start of this step to the end of the named later one.')
      .meta({ title: 'a set of named items', examples: [{ tray: 'dry' }], maxProperties: MAX_LIST })
      .optional(),
    oven: ovenDemandShape.describe('What the step wants of an oven for its whole length.').optional(),
    turn: words.turn
      .describe('When what is in the oven is turned round: half-way, or so long after the start.')
      .optional(),
    around: words.temperature
      .describe('What it stands in, where no cold shelf says so: an ice bath at 0.5 C.')
      .optional(),
    until: trigger.describe('What ends the step beside or instead of its length.').optional(),
    do: words.text
      .describe('What the call says to the hands; the name of the step where this is left out.')
      .optional(),
    caution: words.text.describe('A short warning that is shown with the call.').optional(),
    scales: z
      .boolean()
      .describe('true: the length grows with the yield. false: nothing of this step does.')
      .optional(),
  })
  .meta({
    id: 'step',
    title: 'a step',
    examples: [{ takes: '9-13 min', hands: 'busy' }],
    oneOf: [{ required: ['takes'] }, { required: ['each'] }, { required: ['rest'] }],
  });

const componentShape = z
  .strictObject({
    title: words.text.describe('What the component is called on screens and sheets.').optional(),
    keeps: words.length.describe('How long it keeps, from finished to its last use.').optional(),
    cooling: z
      .enum(['cooked', 'ambient'])
      .describe('Watch the cooling rules that the kitchen has chosen, for food of this kind.')
      .optional(),
    probe: words.name.describe('The probe that stands in it, by which its cooling is watched.').optional(),
    depth: words.thickness.describe('How thick it lies while it cools.').optional(),
    steps: z
      .array(
        z.record(words.name, stepShape).meta({
          title: 'one step',
          examples: [{ whip: { takes: '5 min' } }],
          minProperties: 1,
          maxProperties: 1,
        }),
      )
      .meta({ title: 'a list of steps', minItems: 1 })
      .describe('The steps in order, each a name and what it is.'),
  })
  .meta({
    id: 'component',
    title: 'a component',
    examples: [{ steps: [{ whip: { takes: '5 min', hands: 'busy' } }] }],
  });

const preference = z
  .enum(PREFERENCES)
  .describe(
    'fresh: little waiting of what does not keep. day: no work at night, a late beginning, few gaps. oven: little time with an oven hot.',
  );

export const planShape = z
  .strictObject({
    thirdhand: version,
    title: words.text.describe('What is made, or what for.').meta({ examples: ['Gallery opening'] }),
    makes: words.makes.describe('The base yield: how many pieces, of what.'),
    serve: words.clockTime.describe('When it is served.').optional(),
    margin: words.length
      .describe('How long before service everything is to be ready.')
      .meta({ default: DEFAULTS.margin })
      .optional(),
    prefer: z
      .union([preference, z.array(preference).meta({ maxItems: MAX_LIST, uniqueItems: true })])
      .describe('What the timetable is to be best at, the most important first.')
      .optional(),
    kitchen: z
      .union([words.name, inlineKitchenShape])
      .describe('The name of a kitchen file, or a kitchen written out.')
      .optional(),
    components: z
      .record(words.name, componentShape)
      .meta({ title: 'a set of named components', minProperties: 1, maxProperties: MAX_COMPONENTS })
      .describe('The components, each with its own timeline.'),
    demonstration: demonstrationShape
      .describe('How the plan is shown to an audience in a fixed time.')
      .optional(),
  })
  .meta({ title: 'a plan' });
