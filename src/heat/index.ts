export { bodyAfter, predict, type Prediction, type PredictionRequest, type Surroundings } from './body.ts';
export {
  guessCooling,
  slabTau,
  surroundingsOf,
  whatHelps,
  type Guess,
  type Help,
  type Medium,
  type Touch,
} from './body-guess.ts';
export {
  boilingPoint,
  corrected,
  faultAt,
  hearProbe,
  silentFrom,
  usualProbe,
  type Heard,
  type ProbeFault,
  type ProbeTrack,
  type Sample,
} from './probe-track.ts';
export {
  coolingReading,
  coolingSince,
  FRESH_S,
  outOfCold,
  PROBE_MARGIN_C,
  standsOf,
  TIME_MARGIN,
  type CoolingClock,
  type CoolingRun,
  type CoolingStand,
} from './cooling-run.ts';
export {
  COOLING_RULES,
  rulesNamed,
  type CoolingLimit,
  type CoolingRules,
  type OutOfColdLimit,
} from './rules.ts';
export {
  knobFor,
  loaded,
  ovenModel,
  secondsTo,
  secondsUntilRight,
  temperatureAfter,
  type OvenDoor,
  type OvenModel,
  type OvenStand,
} from './oven.ts';
export { airAround, openingCost, overshootAfter, type Air, type OpeningCost } from './oven-air.ts';
export { secondsToRange, secondsUntilRightRange, type SecondsRange } from './oven-range.ts';
export {
  learnedWords,
  learnOven,
  withLearned,
  type LearnedFigure,
  type LearnedOven,
  type OvenStretch,
} from './oven-learn.ts';
