export { runSheetSvg } from './picture.ts';
