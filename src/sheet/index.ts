export { airRecord, airRecordText } from './air-record.ts';
export { runSheetCalendar, type CalendarOptions } from './calendar.ts';
export {
  runSheetJson,
  type RunSheetJson,
  type RunSheetJsonEntry,
  type RunSheetJsonLimit,
  type RunSheetJsonOven,
  type RunSheetJsonReady,
} from './json.ts';
export { runSheetMarkdown } from './markdown.ts';
export { promiseJson } from './promise.ts';
export { bandsSvg, runSheetSvg } from './picture/index.ts';
export { runSheetText, type TextOptions } from './text.ts';
export {
  coolingRecord,
  coolingRecordText,
  type CoolingRecord,
  type CoolingRecordClock,
  type CoolingRecordComponent,
  type RecordReading,
} from './record.ts';
export {
  STAGE_PAPERS,
  stageJson,
  stageMarkdown,
  stageText,
  type ShowingJson,
  type StageJson,
  type StagePaper,
  type SwapJson,
} from './stage/index.ts';
export { wrapped } from './wrap.ts';
