export { parsed, unreadable, type Parsed } from './parsed.ts';
export {
  countdown,
  formatDuration,
  hours,
  LONGEST,
  minutes,
  parseDuration,
  parseEnds,
  parseWindow,
  roughly,
  seconds,
  type DurationRange,
  type Seconds,
  type Window,
} from './duration.ts';
export {
  celsius,
  formatTemperature,
  parseReadingRate,
  parseTemperature,
  parseTemperatureOffset,
  parseTemperatureRange,
  parseTemperatureRate,
  parseTemperatureSpan,
  temperatureOf,
  type Celsius,
  type Temperature,
  type TemperatureRange,
} from './temperature.ts';
export { parseTemperatureChange, type TemperatureChange } from './change.ts';
export { parseAltitude, parseThickness } from './measure.ts';
export {
  clockFrom,
  daysBetween,
  earlier,
  epochMs,
  formatClockTime,
  isTimeZone,
  later,
  localDate,
  momentOf,
  parseClockTime,
  plus,
  secondsBetween,
  wallClock,
  weekday,
  type ClockTime,
  type EpochMs,
} from './instant.ts';
export {
  formatDayHours,
  nightStretches,
  parseDayHours,
  workingStretches,
  type DayHours,
  type Stretch,
  type WorkingHours,
} from './hours.ts';
