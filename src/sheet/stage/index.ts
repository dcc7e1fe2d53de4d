export { stageJson, type ShowingJson, type StageJson, type SwapJson } from './json.ts';
export { stageMarkdown } from './markdown.ts';
export { STAGE_PAPERS, stageText, type StagePaper } from './text.ts';
