/*
 * What may be found where a run's journal should be, and what is done about it. The facts are gathered first, all of
 * them; then exactly one row of the table fits (a test walks every combination of facts).
 */

/** What was found, before anything is decided. */
export interface RunFacts {
  /** The file: none there; there but may not be read; no SQLite database of ours; one of ours. */
  readonly file: 'absent' | 'unreadable' | 'foreign' | 'ours';
  /** Its format, against what this program writes. */
  readonly format: 'known' | 'newer';
  /** `none`: made, but the setup was never committed. `damaged`: torn, or a row that cannot be understood. */
  readonly content: 'none' | 'damaged' | 'whole';
  /** Who owns the run: nobody, nobody any more (it died), or a live process. */
  readonly owner: 'none' | 'dead' | 'alive';
  readonly writing: 'possible' | 'read-only' | 'full';
  /** The wall clock against the last event, where the uptime does not tell what passed. */
  readonly clock: 'after' | 'behind';
}

type RunCase =
  | 'no journal'
  | 'unreadable'
  | 'not a journal'
  | 'newer format'
  | 'never begun'
  | 'damaged'
  | 'kept by another'
  | 'read-only'
  | 'disk full'
  | 'clock behind'
  | 'owner died'
  | 'put down';

export interface RecoveryRow {
  readonly case: RunCase;
  /** The facts it fits; a fact that is not named may be anything. */
  readonly when: { readonly [F in keyof RunFacts]?: readonly RunFacts[F][] };
  /** `carry on`: take the run and go on. `read`: it can be looked at only. `refuse`: there is nothing to show. */
  readonly go: 'carry on' | 'read' | 'refuse';
  /** For people: what was found. */
  readonly say: string;
  /** For people: what to do, or what is done. */
  readonly hint: string;
}

const SOUND = { file: ['ours'], format: ['known'], content: ['whole'] } as const;
const FREE = ['none', 'dead'] as const;

export const RECOVERY: readonly RecoveryRow[] = [
  {
    case: 'no journal',
    when: { file: ['absent'] },
    go: 'refuse',
    say: 'there is no such run in this store',
    hint: 'see which runs there are, or name another store: --store DIR',
  },
  {
    case: 'unreadable',
    when: { file: ['unreadable'] },
    go: 'refuse',
    say: 'the journal may not be read',
    hint: 'make the file readable for you',
  },
  {
    case: 'not a journal',
    when: { file: ['foreign'] },
    go: 'refuse',
    say: 'the file is not a journal of thirdhand',
    hint: 'it was left as it is; put back the right file from a copy',
  },
  {
    case: 'newer format',
    when: { file: ['ours'], format: ['newer'] },
    go: 'refuse',
    say: 'the journal was written by a newer thirdhand',
    hint: 'use that version or a later one; the file was left as it is',
  },
  {
    case: 'never begun',
    when: { file: ['ours'], format: ['known'], content: ['none'] },
    go: 'refuse',
    say: 'the run was being made when something stopped it, and holds nothing',
    hint: 'start it again; this one can be deleted',
  },
  {
    case: 'damaged',
    when: { file: ['ours'], format: ['known'], content: ['damaged'] },
    go: 'read',
    say: 'the journal is damaged',
    hint: 'what stands before the damage can still be read; the file was left as it is',
  },
  {
    case: 'kept by another',
    when: { ...SOUND, owner: ['alive'] },
    go: 'read',
    say: 'a keeper is at work on this run',
    hint: 'attach to it instead of starting another',
  },
  {
    case: 'read-only',
    when: { ...SOUND, owner: FREE, writing: ['read-only'] },
    go: 'read',
    say: 'the journal cannot be written to',
    hint: 'make the file and its folder writable for you, or copy the store to a place that is',
  },
  {
    case: 'disk full',
    when: { ...SOUND, owner: FREE, writing: ['full'] },
    go: 'read',
    say: 'there is no room on the disk to go on with the run',
    hint: 'free some space and resume again',
  },
  {
    case: 'clock behind',
    when: { ...SOUND, owner: FREE, writing: ['possible'], clock: ['behind'] },
    go: 'carry on',
    say: "the machine's clock shows a time before the last event of the run",
    hint: 'the run goes on from its last event; set the clock right, and look at what is owed now',
  },
  {
    case: 'owner died',
    when: { ...SOUND, owner: ['dead'], writing: ['possible'], clock: ['after'] },
    go: 'carry on',
    say: 'the keeper of the run had stopped without putting it down',
    hint: 'nothing that was acknowledged is lost',
  },
  {
    case: 'put down',
    when: { ...SOUND, owner: ['none'], writing: ['possible'], clock: ['after'] },
    go: 'carry on',
    say: 'nobody kept the run',
    hint: 'it goes on where it stood',
  },
];

/** Whether the row fits the facts. */
export function fits(row: RecoveryRow, facts: RunFacts): boolean {
  const { when } = row;
  const one = <F extends keyof RunFacts>(fact: F): boolean => when[fact]?.includes(facts[fact]) ?? true;
  return one('file') && one('format') && one('content') && one('owner') && one('writing') && one('clock');
}

/** The one row that fits. */
export function recoveryFor(facts: RunFacts): RecoveryRow {
  const row = RECOVERY.find((candidate) => fits(candidate, facts));
  if (row === undefined) throw new Error(`no recovery for ${JSON.stringify(facts)}`);
  return row;
}
