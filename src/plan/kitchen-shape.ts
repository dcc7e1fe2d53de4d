import { z } from 'zod';
import { COOLING_RULE_NAMES, NO_RULES } from './cooling-rules.ts';
import { DEFAULTS } from './defaults.ts';
import * as words from './words.ts';

/** The shape of kitchen files, and of kitchens that are written out in a plan (see shape.ts). */

const ovenShape = z
  .strictObject({
    shelves: words
      .count(1, 50)
      .describe('Shelves in use at once.')
      .meta({ default: DEFAULTS.shelves })
      .optional(),
    heats: words.heatingPace
      .describe('How fast it heats: a change that was watched, or a mean rate.')
      .meta({ default: DEFAULTS.heats })
      .optional(),
    cools: words.coolingPace
      .describe('How fast it cools with the door shut: a change that was watched, or a mean rate.')
      .meta({ default: DEFAULTS.cools })
      .optional(),
    ajar: words.coolingPace.describe('How fast it cools with the door ajar.').optional(),
    open: words.coolingPace.describe('How fast it cools with the door open.').optional(),
    hottest: words.temperature.describe('What it comes to with its heater always on.').optional(),
    tolerance: words.temperatureSpan
      .describe('Temperatures that differ by no more than this may share the oven.')
      .meta({ default: DEFAULTS.tolerance })
      .optional(),
    soak: words.length
      .describe('How long after it reads hot until it truly is.')
      .meta({ default: DEFAULTS.soak })
      .optional(),
    offset: words.temperatureOffset
      .describe('How far it stands above what its knob says; with a minus where it stands below.')
      .optional(),
    overshoot: words.temperatureSpan
      .describe('How far its air shoots past the knob when it has heated up.')
      .optional(),
    swing: words.temperatureSpan
      .describe('How far its air swings to either side of the knob later.')
      .optional(),
    load: words.temperatureSpan.describe('How far one shelf of cold load takes it down.').optional(),
  })
  .meta({ id: 'oven', title: 'an oven', examples: [{ shelves: 2 }] });

const probeShape = z
  .strictObject({
    between: words.temperatureRange
      .describe('What it can read; readings outside are not believed.')
      .meta({ default: DEFAULTS.probeLimits })
      .optional(),
    fastest: words.readingRate
      .describe('What changes faster than this is not believed.')
      .meta({ default: DEFAULTS.probeFastest })
      .optional(),
    stale: words.length
      .describe('After so long without a reading it is silent.')
      .meta({ default: DEFAULTS.probeStale })
      .optional(),
    'ice water': words.temperature
      .describe('What it reads in ice water.')
      .meta({ default: DEFAULTS.iceWater })
      .optional(),
    'boiling water': words.temperature
      .describe('What it reads in boiling water; where left out, the boiling point at this altitude.')
      .optional(),
    oven: words.name.describe('The oven in whose air it hangs.').optional(),
    topic: words.topic.describe('The topic of the broker on which its readings come.').optional(),
    field: words.field.describe('Where the reading stands in a JSON payload; dots lead inside.').optional(),
    scale: z
      .enum(['C', 'F'])
      .describe('The scale of the readings on the topic.')
      .meta({ default: DEFAULTS.scale })
      .optional(),
  })
  .meta({ id: 'probe', title: 'a probe', examples: [{ between: '-20 - 150 C' }] });

/** In backticks, as a check of the layers takes a "from" before a quotation mark for an import. */
export const PASSWORD_FROM = `password from`;

const brokerShape = z
  .strictObject({
    url: words.brokerUrl.describe('Where the broker is.'),
    user: words.text.describe('The name to log in with.').optional(),
    [PASSWORD_FROM]: words.variable
      .describe('The environment variable that holds the password, which is written nowhere.')
      .optional(),
    authority: words.text
      .describe('The file with the certificate of the authority that signed that of the broker.')
      .optional(),
    presence: words.topic.describe('A topic that tells others whether this program is there.').optional(),
  })
  .meta({ id: 'broker', title: 'a broker', examples: [{ url: 'mqtt://kitchen.local:1883' }] });

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
  fridge: words.temperature.describe('What a fridge shelf stands at.').optional(),
  freezer: words.temperature.describe('What a freezer shelf stands at.').optional(),
  altitude: words.altitude
    .describe('How high the kitchen lies; water boils, and sugar is done, at less up high.')
    .optional(),
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
  probes: z
    .record(words.name, probeShape)
    .meta({
      title: 'a set of named probes',
      examples: [{ cream: { between: '-20 - 150 C' } }],
      maxProperties: 50,
    })
    .describe('Probes, named as triggers name them; one that is not described has the defaults.')
    .optional(),
  broker: brokerShape.describe('The broker from which probes are read.').optional(),
  rules: z
    .enum([...COOLING_RULE_NAMES, NO_RULES])
    .describe('The cooling rules that are watched, by name, or none chosen.')
    .optional(),
};
export const version = z.literal(1).meta({ title: 'the version of the language, 1' });

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
