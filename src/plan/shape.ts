import { z } from 'zod';
import type { Preference } from './model.ts';
import * as words from './words.ts';

/**
 * The shape of plan and kitchen files: the one source of the types that the reader gives, of what is checked word by
 * word, and of the JSON Schemas in docs/. What words mean together is checked afterwards (see steps.ts and links.ts).
 */

/** Figures that hold where a file says nothing. Those of the oven are guesses at a household oven; measure your own. */
export const DEFAULTS = {
  margin: '10 min',
  room: '21 C',
  cooks: 1,
  nearPerCook: 2,
  shelves: 2,
  heats: '12 C/min',
  cools: '3 C/min',
  tolerance: '8 C',
  soak: '10 min',
  probeLasting: '10 s',
} as const;

/** What a timetable may be best at, in the order that holds where a plan says nothing. */
export const PREFERENCES = ['fresh', 'day', 'oven'] as const satisfies readonly Preference[];

/** Longest lists that a step may have. */
const MAX_LIST = 20;
export const MAX_STEPS = 2000;
const MAX_COMPONENTS = 200;
/** any/all within any/all. */
export const MAX_TRIGGER_DEPTH = 4;

const listOf = <T extends z.ZodType>(item: T) => z.array(item).meta({ maxItems: MAX_LIST });

/** What ends a step, as it is written: exactly one of cue, probe, any, all. */
export interface TriggerWords {
  cue?: string | undefined;
  probe?: string | undefined;
  reaches?: z.output<typeof words.temperature> | undefined;
  'falls to'?: z.output<typeof words.temperature> | undefined;
  between?: z.output<typeof words.temperatureRange> | undefined;
  for?: z.output<typeof words.length> | undefined;
  any?: TriggerWords[] | undefined;
  all?: TriggerWords[] | undefined;
}

const trigger: z.ZodType<TriggerWords> = z.lazy(() => triggerShape);
const triggerShape = z
  .strictObject({
    cue: words.text.describe('Doneness that is seen or felt; a person confirms it.').optional(),
    probe: words.name.describe('The probe that is read, named by what it stands in.').optional(),
    reaches: words.temperature.describe('Ends when the probe stands at or above this.').optional(),
    'falls to': words.temperature.describe('Ends when the probe stands at or below this.').optional(),
    between: words.temperatureRange.describe('Ends when the probe stands within this range.').optional(),
    for: words.length
      .describe('How long the reading must hold, so that one spike ends nothing.')
      .meta({ default: DEFAULTS.probeLasting })
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
      {
        required: ['probe'],
        oneOf: [{ required: ['reaches'] }, { required: ['falls to'] }, { required: ['between'] }],
      },
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

const ovenShape = z
  .strictObject({
    shelves: words
      .count(1, 50)
      .describe('Shelves in use at once.')
      .meta({ default: DEFAULTS.shelves })
      .optional(),
    heats: words.rate.describe('How fast it heats.').meta({ default: DEFAULTS.heats }).optional(),
    cools: words.rate
      .describe('How fast it cools with the door shut.')
      .meta({ default: DEFAULTS.cools })
      .optional(),
    tolerance: words.temperatureSpan
      .describe('Temperatures that differ by no more than this may share the oven.')
      .meta({ default: DEFAULTS.tolerance })
      .optional(),
    soak: words.length
      .describe('How long after it reads hot until it truly is.')
      .meta({ default: DEFAULTS.soak })
      .optional(),
  })
  .meta({ id: 'oven', title: 'an oven', examples: [{ shelves: 2 }] });

const stock = z.union([
  words.count(0, words.MAX_COUNT),
  z.strictObject({
    count: words.count(0, words.MAX_COUNT),
    carries: z.enum(['pieces']).describe('Claims on it grow with the yield.').optional(),
  }),
]);
const MAX_KINDS = 200;

const onDay = (day: string) => words.dayHoursOrNone.describe(`Hours of work on a ${day}.`).optional();
export const weekShape = z
  .strictObject({
    monday: onDay('Monday'),
    tuesday: onDay('Tuesday'),
    wednesday: onDay('Wednesday'),
    thursday: onDay('Thursday'),
    friday: onDay('Friday'),
    saturday: onDay('Saturday'),
    sunday: onDay('Sunday'),
    'other days': words.dayHoursOrNone.describe('Hours of work on the days that are not named.').optional(),
  })
  .meta({
    id: 'week',
    title: 'hours for the days of the week',
    examples: [{ sunday: 'none', 'other days': '6:00-14:00' }],
  });

const kitchenWords = {
  title: words.text.describe('What the kitchen is called on screens and sheets.').optional(),
  'time zone': words.timeZone.describe('Where the wall clock hangs.').optional(),
  cooks: words.count(1, 20).describe('How many pairs of hands.').meta({ default: DEFAULTS.cooks }).optional(),
  near: words
    .count(1, 100)
    .describe('How many near steps at once, all cooks together; 2 per cook if left out.')
    .optional(),
  hours: z
    .union([words.dayHours, weekShape])
    .describe(
      'When there is work, every day or by the day of the week; hands are asked for at no other time.',
    )
    .optional(),
  nights: z
    .enum(['allowed'])
    .describe('allowed: work at night is as good as any. Without it and without hours, nights are avoided.')
    .optional(),
  room: words.temperature.describe('What the room stands at.').meta({ default: DEFAULTS.room }).optional(),
  ovens: z
    .record(words.name, ovenShape)
    .meta({ title: 'a set of named ovens', examples: [{ oven: { shelves: 2 } }], maxProperties: 20 })
    .optional(),
  hobs: words.count(0, 50).describe('Burners or plates; a step claims one as "hob".').optional(),
  cold: z
    .record(words.name, stock)
    .meta({ title: 'a set of named shelves', examples: [{ 'fridge shelf': 3 }], maxProperties: MAX_KINDS })
    .describe('Shelves in the fridge and the freezer, and the like.')
    .optional(),
  tools: z
    .record(words.name, stock)
    .meta({ title: 'a set of named tools', examples: [{ mixer: 1 }], maxProperties: MAX_KINDS })
    .describe('Equipment that there is only so much of.')
    .optional(),
  rules: words.text.describe('The chosen cooling rules, by name, or "none chosen".').optional(),
};
const version = z.literal(1).meta({ title: 'the version of the language, 1' });

export const kitchenShape = z
  .strictObject({
    thirdhand: version,
    kitchen: words.name.describe('The name of the kitchen.'),
    ...kitchenWords,
  })
  .meta({ title: 'a kitchen' });

/** A kitchen within a plan. */
export const inlineKitchenShape = z
  .strictObject({ thirdhand: version.optional(), kitchen: words.name.optional(), ...kitchenWords })
  .meta({ id: 'kitchen', title: 'a kitchen' });

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
  })
  .meta({ title: 'a plan' });
