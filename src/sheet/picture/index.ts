export { runSheetSvg } from './picture.ts';
export { bandsSvg } from './bands.ts';
