import * as z from 'zod';
import type { BenchEvent, Happening, RunSetup } from '../bench/index.ts';
import { decodeEvent, encodeEvent, happeningSchema, parseJson, setupSchema } from '../journal/index.ts';

/*
 * What a board and the keeper say to each other over the run's socket: one JSON object a line, UTF-8, at most 64 KiB
 * from a board and 8 MiB from the keeper. A line that is no such object ends the connection.
 */

/** The protocol's version; a keeper refuses a board that speaks another. */
export const PROTOCOL = 1;

/** The longest line a board may send, in bytes. */
export const LONGEST_FROM_BOARD = 64 * 1024;
/** The longest line a keeper may send, in bytes. */
export const LONGEST_FROM_KEEPER = 8 * 1024 * 1024;

export type FromBoard =
  /** First line: send me the setup and every event after `after` (0 for all), and go on as they come. */
  | { readonly say: 'attach'; readonly protocol: number; readonly after: number }
  /** An act of the cook. `id` makes sending it twice harmless; the keeper stamps the time, and lets no `at` lie after it. */
  | { readonly say: 'press'; readonly id: string; readonly happening: Happening }
  /** A reading, or how a feed stands, from a stream that only the board's process can read. Nothing answers it. */
  | { readonly say: 'fed'; readonly happening: Fed }
  /** End the run's keeper (the run stays in the journal and can be resumed). */
  | { readonly say: 'stop'; readonly id: string };

/** What comes by a feed. */
export type Fed = Extract<Happening, { kind: 'reading' | 'feed' }>;

export type FromKeeper =
  | { readonly say: 'setup'; readonly protocol: number; readonly setup: RunSetup; readonly seq: number }
  /** Events in order; `seq` counts journalled events from 1. `clock` is the keeper's time when it sent this, in epoch ms. */
  | { readonly say: 'event'; readonly seq: number; readonly event: BenchEvent; readonly clock: number }
  /** Sent about once a second: the keeper's clock, so that a board's countdowns agree with it. */
  | { readonly say: 'beat'; readonly clock: number }
  /** The press with this id is in the journal and applied. */
  | { readonly say: 'taken'; readonly id: string; readonly seq: number }
  /** The press with this id changed nothing; why, for people. */
  | { readonly say: 'refused'; readonly id: string; readonly why: string }
  /** The keeper cannot write its journal; `detail` says why, for people. Without one, it can again. */
  | { readonly say: 'trouble'; readonly detail?: string }
  /** The keeper ends: the run was served, or someone asked. */
  | { readonly say: 'end'; readonly reason: 'served' | 'stopped' | 'failed'; readonly detail?: string };

/** The name of a press: no colon, so that it can never be one that a keeper gives. */
const id = z.string().regex(/^[A-Za-z0-9-]{1,64}$/);
const count = z.int().min(0);
const text = z.string().max(10_000);

/** What a board may do. Gaps, the clock and what is offered are the keeper's own word. */
const KEEPERS_OWN: ReadonlySet<string> = new Set([
  'clock',
  'gap',
  'proposed',
  'not proposed',
  'feed',
  'forecast',
]);
const pressed = happeningSchema.refine(({ kind }) => !KEEPERS_OWN.has(kind), 'is not for a board to say');

const fed = happeningSchema.refine(({ kind }) => kind === 'reading' || kind === 'feed', 'is no feed');

const fromBoard = z.discriminatedUnion('say', [
  z.strictObject({ say: z.literal('attach'), protocol: count, after: count }),
  z.strictObject({ say: z.literal('press'), id, happening: pressed }),
  z.strictObject({ say: z.literal('fed'), happening: fed }),
  z.strictObject({ say: z.literal('stop'), id }),
]);

const fromKeeper = z.discriminatedUnion('say', [
  z.object({ say: z.literal('setup'), protocol: count, setup: setupSchema, seq: count }),
  z.object({ say: z.literal('event'), seq: count, event: z.custom<BenchEvent>(isEvent), clock: count }),
  z.object({ say: z.literal('beat'), clock: count }),
  z.object({ say: z.literal('taken'), id: text, seq: count }),
  z.object({ say: z.literal('refused'), id: text, why: text }),
  z.object({ say: z.literal('trouble'), detail: text.optional() }),
  z.object({
    say: z.literal('end'),
    reason: z.enum(['served', 'stopped', 'failed']),
    detail: text.optional(),
  }),
]);

/** Events cross the socket in the shape they have in memory; whether it is one is judged as the journal does. */
function isEvent(value: unknown): boolean {
  if (typeof value !== 'object' || value === null || !('id' in value) || !('time' in value)) return false;
  return decodeEvent(encodeEvent(value as BenchEvent)).ok;
}

/** Reads a line of a board; undefined where it is none. */
export function readFromBoard(line: string): FromBoard | undefined {
  const raw = parseJson(line);
  return fromBoard.safeParse(raw).success ? (raw as FromBoard) : undefined;
}

/** Reads a line of a keeper; undefined where it is none. */
export function readFromKeeper(line: string): FromKeeper | undefined {
  const raw = parseJson(line);
  return fromKeeper.safeParse(raw).success ? (raw as FromKeeper) : undefined;
}

/** Writes a message as a line. */
export const lineOf = (message: FromBoard | FromKeeper): string => `${JSON.stringify(message)}\n`;
