export { BELL, bellPattern, bellRinger, type BellPattern, type BellRinger, type Schedule } from './bell.ts';
export { desktopNotify } from './desktop.ts';
export { createHerald, tame, type Herald, type HeraldOptions, type Notice, type Notify } from './herald.ts';
