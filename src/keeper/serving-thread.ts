import { parentPort } from 'node:worker_threads';
import type { Numbered } from './asking-thread.ts';

/** Makes this thread answer questions, in the order they come. */
export function serveQuestions<Question, Answer>(answer: (question: Question) => Answer): void {
  const port = parentPort;
  if (!port) throw new Error('this is no thread of a keeper');
  port.on('message', ({ number, content }: Numbered<Question>) => {
    const answered: Numbered<Answer> = { number, content: answer(content) };
    port.postMessage(answered);
  });
}
