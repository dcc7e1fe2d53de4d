export { type Presenter } from './presenter.ts';
export { rehearseStage, type StageOptions, type StageReport } from './report.ts';
export { stageReportText } from './words.ts';
