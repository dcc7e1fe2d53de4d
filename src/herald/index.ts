export { BELL, bellPattern, bellRinger, type BellRinger } from './bell.ts';
export { desktopNotify } from './desktop.ts';
export { createHerald, tame, type Herald, type Notice, type Notify } from './herald.ts';
