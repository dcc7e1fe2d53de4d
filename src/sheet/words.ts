import { describeTrigger, type Claim, type OvenHeat, type Step, type Trigger } from '../plan/index.ts';
import { formatDuration, formatTemperature, roughly, type Seconds } from '../units/index.ts';

/** `6 min`, or with its ends: `6 min (5-9 min)`. */
export function lengthWords(step: Step, planned: Seconds): string {
  const { length } = step;
  switch (length.kind) {
    case 'takes': {
      const { low, usual, high } = length.range;
      return low === high ? formatDuration(usual) : `usually ${formatDuration(usual)} (${ends(low, high)})`;
    }
    case 'each':
      return `${length.pieces} x ${formatDuration(length.per)}, in all ${roughly(length.range.usual)}`;
    case 'rest':
      return `rests ${roughly(planned)} (${windowWords(length.atLeast, length.atMost)})`;
  }
}

function windowWords(atLeast: Seconds, atMost: Seconds | undefined): string {
  if (atMost === undefined) return `at least ${formatDuration(atLeast)}`;
  if (atLeast === 0) return `at most ${formatDuration(atMost)}`;
  return ends(atLeast, atMost);
}

/** `9-13 min` where both have the one unit, else `45 min - 7 d`. */
export function ends(low: Seconds, high: Seconds): string {
  const [first, last] = [formatDuration(low), formatDuration(high)];
  const [lowFigure, lowUnit, ...lowMore] = first.split(' ');
  const [, highUnit, ...highMore] = last.split(' ');
  const oneUnit = lowUnit === highUnit && lowMore.length === 0 && highMore.length === 0;
  return oneUnit ? `${lowFigure}-${last}` : `${first} - ${last}`;
}

/** What ends a step: `a skin on the pan floor and dough reaches 76 C`. */
export function triggerWords(trigger: Trigger): string {
  switch (trigger.kind) {
    case 'cue':
      return trigger.text;
    case 'probe': {
      const { goal } = trigger;
      if (goal.kind === 'between')
        return `${trigger.probe} between ${formatTemperature(goal.low)} and ${formatTemperature(goal.high)}`;
      return `${trigger.probe} ${goal.kind} ${formatTemperature(goal.to)}`;
    }
    case 'join':
      return describeTrigger(trigger);
    case 'any':
    case 'all': {
      const joined = trigger.of.map((part) =>
        (part.kind === 'any' || part.kind === 'all') && part.kind !== trigger.kind
          ? `(${triggerWords(part)})`
          : triggerWords(part),
      );
      return joined.join(trigger.kind === 'any' ? ' or ' : ' and ');
    }
  }
}

export const heatWords = (heat: OvenHeat): string =>
  heat.kind === 'off' ? 'off' : formatTemperature(heat.temperature);

export const claimWords = (claim: Claim): string =>
  claim.count === 1 ? claim.item : `${claim.count} x ${claim.item}`;

/** Where a text may be broken: at a space, but not between a figure and its unit. */
export const BREAK = /(?<!\d) | (?!(?:C|F|s|min|h|d|g|mm|cm|x)(?!\p{L}))/u;
