export { BELL, bellPattern, bellRinger } from './bell.ts';
export { desktopNotify } from './desktop.ts';
export { createHerald, type Herald, type Notice, type Notify } from './herald.ts';
export { loudspeaker, runSound, soundCommand, type RunSound } from './loudspeaker.ts';
export type { Noise, Noises } from './noises.ts';
export { tame } from './tame.ts';
