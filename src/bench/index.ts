export { GRACE_S } from './alarms.ts';
export type {
  BenchEvent,
  Effect,
  FeedReport,
  ForecastClash,
  Happening,
  Offer,
  OtherWay,
  Priority,
  RunSetup,
  ServiceMove,
  Source,
  StageSetup,
} from './events.ts';
export type * from './state.ts';
export { alarmTableText } from './alarm-table.ts';
export { certainClashes, handsKey } from './certain.ts';
export { chanceWords, wantsForecast } from './forecast.ts';
export { suppose, supposed } from './play-on.ts';
export { bodiesOf, type Body } from './bodies.ts';
export { answer, apply, nextDeadline, project, replay } from './bench.ts';
export { begin } from './carry.ts';
export { describe, undoable } from './undo.ts';
export { mermaid } from './chart.ts';
export { ifServiceMoved, toldLater } from './service-moves.ts';
export { isServed, serviceOutcomes, type ServiceOutcome } from './service.ts';
export { progressOf } from './progress.ts';
export { happeningOf, wantsReplan } from './replanning.ts';
export { forecastOf, type OvenForecast } from './oven-forecast.ts';
export { lateSwaps, stageOf, type LateSwap, type StageStanding } from './on-air.ts';
export { airStep, isAtPlaces, isOnAir } from './showings.ts';
export { copiesLeft, lastAhead, leftOut, windowOf } from './swaps.ts';
export { expectedAnew, watchAt } from './watch.ts';
export { reckonedHeat } from './oven-reckoning.ts';
export { ovenStretches } from './oven-learning.ts';
export {
  coolingViewOf,
  lostCooling,
  type ComponentCooling,
  type CoolingClockView,
  type CoolingView,
  type TimeOutView,
} from './cooling-view.ts';
export { aheadOf } from './ahead.ts';
export { followsInOven, lookup, ovenOf } from './lookup.ts';
export { heatWords } from './oven-calls.ts';
export { endsByClock, expectedLength } from './triggers.ts';
