export { canDraw, runBoard, type BoardIo } from './board.ts';
export { runPlain, type PlainIo } from './plain.ts';
export type { Control, Playing, Rehearsing, Said } from './rehearsing.ts';
export type { BoardEnd } from './session.ts';
