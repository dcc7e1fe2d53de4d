import { Worker } from 'node:worker_threads';
import { mistake, type Failure } from './replanner.ts';

export interface ThreadOptions {
  /** What is asked for, for the program's log: `a new timetable`. */
  readonly what: string;
  /** The file the thread runs. */
  readonly entry: URL;
  /** What it is begun with; plain data. */
  readonly data: unknown;
  /** For the program's log: what broke or hung, each kind once. */
  readonly complain: (what: string) => void;
  /** How long a thread may take over one question, its own start included, in ms. */
  readonly patience: number;
}

/** A thread that is asked one question at a time. */
export interface AskingThread<Question, Answer> {
  /** Asks; `answer` hears once what came of it. Ask again only after that. */
  ask(question: Question, answer: (answer: Answer | Failure) => void): void;
  /** Lets go of whatever is under way; nothing is answered any more. */
  close(): void;
}

/** What goes over, numbered, so that no answer is taken for another's. */
export interface Numbered<Content> {
  readonly number: number;
  readonly content: Content;
}

const TOO_LONG: Failure = { kind: 'failed', why: 'it took too long', detail: 'it took too long' };
/** What may be on the heap of the thread, in MB; a question that wants more breaks it, and not the keeper. */
const HEAP_MB = 512;

/**
 * Has questions answered in a thread of its own, so that nothing waits for them. The thread is begun with the first
 * question and kept. One that breaks, or takes too long, is put away and the question answered as failed; the next
 * question begins a new one.
 */
export function askingThread<Question, Answer>(options: ThreadOptions): AskingThread<Question, Answer> {
  const { what, entry, data, complain, patience } = options;
  let thread: Worker | undefined;
  let count = 0;
  let waiting: { readonly number: number; readonly answer: (answer: Answer | Failure) => void } | undefined;
  let timer: NodeJS.Timeout | undefined;
  const said = new Set<string>();

  const told = (failure: Failure): Failure => {
    const { detail } = failure;
    if (!said.has(detail) && said.size < 100) complain(`${what} could not be worked out: ${detail}`);
    said.add(detail);
    return failure;
  };
  const settle = (answer: Answer | Failure): void => {
    clearTimeout(timer);
    const asked = waiting;
    waiting = undefined;
    asked?.answer(answer);
  };
  const putAway = (old: Worker): void => {
    if (thread === old) thread = undefined;
    old.removeAllListeners();
    // What it says on its way out is nobody's any more.
    old.on('error', () => undefined);
    void old.terminate();
  };
  const fail = (old: Worker, failure: Failure): void => {
    if (thread !== old) return;
    putAway(old);
    settle(told(failure));
  };
  const begin = (): Worker => {
    const fresh = new Worker(entry, {
      workerData: data,
      resourceLimits: { maxOldGenerationSizeMb: HEAP_MB },
    });
    fresh.on('message', ({ number, content }: Numbered<Answer | Failure>) => {
      if (number !== waiting?.number) return;
      settle(isFailure(content) ? told(content) : content);
    });
    fresh.on('error', (error) => fail(fresh, mistake(error)));
    fresh.on('exit', () => fail(fresh, mistake('the thread ended by itself')));
    // A keeper that has nothing else to do may end.
    fresh.unref();
    return fresh;
  };

  return {
    ask(question, answer) {
      if (waiting) throw new Error(`${what}: one question at a time`);
      count += 1;
      waiting = { number: count, answer };
      let mine: Worker;
      try {
        mine = thread ??= begin();
      } catch (error) {
        settle(told(mistake(error)));
        return;
      }
      timer = setTimeout(() => fail(mine, TOO_LONG), patience);
      const numbered: Numbered<Question> = { number: count, content: question };
      mine.postMessage(numbered);
    },
    close() {
      clearTimeout(timer);
      waiting = undefined;
      if (thread) putAway(thread);
    },
  };
}

const isFailure = (answer: unknown): answer is Failure =>
  typeof answer === 'object' && answer !== null && 'kind' in answer && answer.kind === 'failed';

/** A file that lies beside the keeper's own, in the sources as in the bundle. */
export function threadEntry(name: string): URL {
  return import.meta.url.endsWith('.ts')
    ? new URL(`./${name}.ts`, import.meta.url)
    : new URL(`./${name}.js`, import.meta.url);
}
