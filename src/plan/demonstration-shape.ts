import { z } from 'zod';
import { DEFAULTS } from './defaults.ts';
import * as words from './words.ts';

/** The shape of a demonstration within a plan: see demonstration.ts for what its words mean together. */

/** More than an audience can follow. */
const MAX_SHOWINGS = 60;

export const showingShape = z
  .strictObject({
    show: words.reference
      .describe('The step that is shown, as component.step: all of it, where neither first nor last is said.')
      .optional(),
    first: words.ends
      .describe('Only the beginning of the step is shown: so long, or within this range.')
      .optional(),
    last: words.ends.describe('Only the end of the step is shown: so long, or within this range.').optional(),
    talk: words.text.describe('The presenter talks: what about.').optional(),
    break: words.text
      .describe('Nobody watches: what is on meanwhile. The hands are free for work.')
      .optional(),
    beauty: words.text.describe('The finished plate is shown: how.').optional(),
    lasts: words.ends.describe('How long a talk, a break or the beauty lasts, or its range.').optional(),
    usually: words.length
      .describe('The usual length within a range; the middle where this is left out.')
      .optional(),
    say: words.text.describe('The cue to speak, as the presenter says it.').optional(),
  })
  .meta({
    id: 'showing',
    title: 'a showing',
    examples: [{ show: 'shells.pipe', first: '40 s' }],
    oneOf: [
      { required: ['show'] },
      { required: ['talk'] },
      { required: ['break'] },
      { required: ['beauty'] },
    ],
  });

export const demonstrationShape = z
  .strictObject({
    lasts: words.length.describe('How long it is on air.'),
    'on air': words.clockTime.describe('When it begins.').optional(),
    within: words.length
      .describe('How far off its length the end may be.')
      .meta({ default: DEFAULTS.airWithin })
      .optional(),
    helper: z
      .boolean()
      .describe('Whether a second pair of hands works off view.')
      .meta({ default: false })
      .optional(),
    ovens: z
      .array(words.name)
      .meta({ maxItems: 20 })
      .describe('The ovens that the audience sees; the others stand behind. All of them if left out.')
      .optional(),
    backups: z
      .array(words.name)
      .meta({ maxItems: 20 })
      .describe('Components of whose swaps one more copy is made, to be safe.')
      .optional(),
    shows: z
      .array(showingShape)
      .meta({ title: 'a list of showings', minItems: 1, maxItems: MAX_SHOWINGS })
      .describe('What the audience sees, in order.'),
  })
  .meta({
    id: 'demonstration',
    title: 'a demonstration',
    examples: [{ lasts: '22 min', shows: [{ talk: 'welcome', lasts: '60 s' }] }],
  });
