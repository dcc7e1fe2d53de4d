export { runSheetJson, type RunSheetJson, type RunSheetJsonEntry } from './json.ts';
export { runSheetMarkdown } from './markdown.ts';
export { runSheetText } from './text.ts';
