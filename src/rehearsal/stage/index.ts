export { stageReportJson } from './json.ts';
export { type Presenter } from './presenter.ts';
export { rehearseStage, stageStudy, type StageReport, type StageStudy } from './report.ts';
export { stageReportText } from './words.ts';
