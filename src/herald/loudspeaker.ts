import { execFile } from 'node:child_process';
import { oneAtATime, type Noise, type Noises, type Schedule } from './noises.ts';
import { tame } from './tame.ts';

/** A program that makes a noise, and the arguments that always stand before the priority and the words. */
export interface SoundCommand {
  readonly program: string;
  readonly args: readonly string[];
}

/** What `THIRDHAND_SOUND` says: nothing, a command, or something that is none, with the reason in words. */
export type SoundSetting =
  | { readonly kind: 'none' }
  | { readonly kind: 'command'; readonly command: SoundCommand }
  | { readonly kind: 'wrong'; readonly why: string };

/** The most parts a command may have. */
const MOST_PARTS = 40;

/**
 * Reads a setting: a JSON list of texts, where a part has spaces in it (`["play", "/home/me/my bell.wav"]`), or plain words.
 * No shell ever sees it, so quotes, `$` and `|` mean nothing in it.
 */
export function soundCommand(setting: string | undefined): SoundSetting {
  const text = (setting ?? '').trim();
  if (text === '') return { kind: 'none' };
  const parts = text.startsWith('[') ? listOf(text) : text.split(/\s+/u);
  const [program, ...args] = parts ?? [];
  if (parts === undefined || program === undefined || program.trim() === '' || parts.length > MOST_PARTS)
    return {
      kind: 'wrong',
      why: `THIRDHAND_SOUND is a program and its arguments, in plain words or as a JSON list of at most ${MOST_PARTS} texts`,
    };
  if (parts.some((part) => part.includes('\0')))
    return { kind: 'wrong', why: 'THIRDHAND_SOUND has a zero byte in it' };
  return { kind: 'command', command: { program, args } };
}

function listOf(text: string): readonly string[] | undefined {
  try {
    const list: unknown = JSON.parse(text);
    return Array.isArray(list) && list.every((part) => typeof part === 'string') ? list : undefined;
  } catch {
    return undefined;
  }
}

/** Runs the command for one noise and calls back once, with what went wrong if something did. The answer ends it. */
export type RunSound = (noise: Noise, done: (error: Error | undefined) => void) => () => void;

/** What a command may print before it is ended, in bytes. */
const MOST_OUTPUT = 64 * 1024;

/** Runs the program itself, without a shell: its own arguments, then the priority, then what it is for, made harmless. */
export const runSound =
  ({ program, args }: SoundCommand): RunSound =>
  ({ priority, text }, done) => {
    const limits = { killSignal: 'SIGKILL', maxBuffer: MOST_OUTPUT } as const;
    const child = execFile(program, [...args, priority, tame(text)], limits, (error) =>
      done(error === null ? undefined : new Error(whyOf(error, program))),
    );
    // A program that does not read its input must not hold anything up.
    child.stdin?.on('error', () => undefined).end();
    return () => void child.kill('SIGKILL');
  };

function whyOf(error: Error & { readonly code?: unknown }, program: string): string {
  if (error.code === 'ENOENT') return `there is no program ${tame(program)}`;
  if (error.code === 'EACCES') return `${tame(program)} may not be run`;
  return typeof error.code === 'number'
    ? `${tame(program)} ended with ${error.code}`
    : `${tame(program)}: ${tame(error.message)}`;
}

/** A command that has not ended by itself after so long, in ms, is ended: the next noise must not wait for it. */
const LONGEST_MS = 10_000;

export interface LoudspeakerOptions {
  readonly run: RunSound;
  /** Hears, once, that the command does not work, and why. The bell of open boards rings all the same. */
  readonly unavailable: (why: string) => void;
  readonly schedule: Schedule;
}

/** The silence after a noise before the next may begin, in ms. */
const PAUSE_MS = 1000;
/** After so many failures in a row no more is tried. */
const FAILURES = 3;

/** Lets a program of the cook's own make each noise, one at a time. Never throws, whatever the program does. */
export function loudspeaker({ run, unavailable, schedule }: LoudspeakerOptions): Noises {
  let failures = 0;
  let said = false;
  const settle = (error: Error | undefined): void => {
    failures = error === undefined ? 0 : failures + 1;
    if (error === undefined || said) return;
    said = true;
    unavailable(error.message);
  };
  return oneAtATime((noise, over) => {
    if (failures >= FAILURES) return schedule(PAUSE_MS, over);
    // 1. The program ends, or its time is over, whichever is first; what is told after that is not listened to.
    // 2. Then comes a silence, and then the next noise. `cancel` stops whichever of the two is under way.
    let cancel = (): void => undefined;
    let open = true;
    let end = (): void => undefined;
    const done = (error: Error | undefined): void => {
      if (!open) return;
      open = false;
      cancel();
      settle(error);
      cancel = schedule(PAUSE_MS, over);
    };
    cancel = schedule(LONGEST_MS, () => {
      end();
      done(new Error(`the command for sounds had not ended after ${LONGEST_MS / 1000} s`));
    });
    try {
      end = run(noise, done);
    } catch (error) {
      done(error instanceof Error ? error : new Error(String(error)));
    }
    return () => {
      if (open) end();
      open = false;
      cancel();
    };
  });
}
