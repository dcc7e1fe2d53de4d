import { closeSync, constants, fstatSync, openSync, readSync } from 'node:fs';
import { createServer, type Socket } from 'node:net';
import { Readable } from 'node:stream';
import { lineStream } from './line-stream.ts';
import type { Pace } from './pace.ts';
import { readingFrom } from './reading-line.ts';
import { causeOf, shown, type Sink, type Source } from './source.ts';

/** More connections than a bench has senders. */
const MOST_CONNECTIONS = 8;
/** How long what could not be opened is left alone before it is tried again, ms. */
const AGAIN_MS = 5000;
/** How often a pipe is looked at, ms. */
const LOOK_MS = 100;

/**
 * What a web browser says first. A page of anybody's can make one send its own lines to a port of this machine, with these
 * before them.
 */
const BROWSER = /\bHTTP\/\d|^(?:host|origin|referer|user-agent|content-type)\s*:/iu;

/**
 * Reads a stream's lines no faster than the pace allows; the answer ends that. `browser` hears of a sender that is one, whose
 * lines count for nothing from then on.
 */
function readFrom(stream: Readable, sink: Sink, pace: Pace, browser?: () => void): () => void {
  let isBrowser = false;
  const line = (text: string): void => {
    if (isBrowser) return;
    const reading = readingFrom(text);
    if (reading) return sink.reading(reading);
    sink.refused();
    isBrowser = browser !== undefined && BROWSER.test(text);
    if (isBrowser) browser?.();
    return undefined;
  };
  const lines = lineStream(line, () => sink.refused());
  let waiting: NodeJS.Timeout | undefined;
  const take = (chunk: Buffer | string): void => {
    const piece = typeof chunk === 'string' ? Buffer.from(chunk) : chunk;
    lines.take(piece);
    const wait = pace(piece.length, performance.now());
    if (wait === 0) return;
    stream.pause();
    waiting = setTimeout(() => stream.resume(), wait);
  };
  stream.on('data', take);
  stream.once('end', () => lines.end());
  return () => {
    clearTimeout(waiting);
    stream.off('data', take);
    stream.pause();
  };
}

/** Lines on a stream that is there already: standard input. */
export function streamSource(stream: Readable, sink: Sink, pace: Pace): Source {
  const stop = readFrom(stream, sink, pace);
  sink.stands('on', 'lines are read');
  stream.once('end', () => sink.stands('off', 'it has ended'));
  stream.once('error', (error) => sink.stands('off', causeOf(error)));
  return { close: stop };
}

/**
 * A named pipe. It is opened for writing too, so that it does not end whenever a writer goes: the next one is read like the
 * last. Where there is none yet it is tried again.
 */
export function pipeSource(path: string, sink: Sink, pace: Pace): Source {
  return untiring(sink, (lost) => {
    const handle = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
    if (!fstatSync(handle).isFIFO()) {
      closeSync(handle);
      throw new Error('it is no named pipe; make one with mkfifo');
    }
    const stream = pipeStream(handle);
    const stop = readFrom(stream, sink, pace);
    stream.on('error', lost);
    sink.stands('on', shown(path));
    return () => {
      stop();
      stream.destroy();
    };
  });
}

/**
 * What comes by the pipe of a handle, which is closed with the stream. It is looked at ten times a second: a socket over the
 * handle would close it behind the back of those who keep account of open files, and a plain reader would never let go.
 */
function pipeStream(handle: number): Readable {
  const buffer = Buffer.alloc(64 * 1024);
  let looking: NodeJS.Timeout | undefined;
  const look = (stream: Readable): void => {
    try {
      const length = readSync(handle, buffer);
      if (length > 0) return void stream.push(Buffer.from(buffer.subarray(0, length)));
    } catch (error) {
      const isEmpty = error instanceof Error && 'code' in error && error.code === 'EAGAIN';
      if (!isEmpty) return void stream.destroy(error instanceof Error ? error : new Error(String(error)));
    }
    looking = setTimeout(() => look(stream), LOOK_MS);
    return undefined;
  };
  return new Readable({
    read() {
      look(this);
    },
    destroy(error, done) {
      clearTimeout(looking);
      closeSync(handle);
      done(error);
    },
  });
}

/** A port of this machine that other programs on it can write lines to; from another machine it cannot be reached. */
export function portSource(port: number, sink: Sink, pace: Pace): Source {
  return untiring(sink, (lost) => {
    const ends = new Map<Socket, () => void>();
    const server = createServer((socket) => {
      ends.set(
        socket,
        readFrom(socket, sink, pace, () => socket.destroy()),
      );
      socket.once('close', () => {
        ends.get(socket)?.();
        ends.delete(socket);
      });
      // The sender is gone; `close` follows.
      socket.on('error', () => socket.destroy());
    });
    server.maxConnections = MOST_CONNECTIONS;
    server.on('drop', () => sink.refused());
    server.on('error', lost);
    server.listen({ host: '127.0.0.1', port }, () => sink.stands('on', `lines to 127.0.0.1:${port}`));
    return () => {
      server.close();
      for (const socket of ends.keys()) socket.destroy();
    };
  });
}

/** Opens a source, and opens it anew some time after it could not be or was lost. */
function untiring(sink: Sink, open: (lost: (error: unknown) => void) => () => void): Source {
  let close = (): void => undefined;
  let again: NodeJS.Timeout | undefined;
  let isOver = false;
  const attempt = (): void => {
    let isLost = false;
    close = () => undefined;
    const lost = (error: unknown): void => {
      if (isLost || isOver) return;
      isLost = true;
      sink.stands('off', causeOf(error));
      close();
      again = setTimeout(attempt, AGAIN_MS);
    };
    try {
      close = open(lost);
    } catch (error) {
      lost(error);
    }
  };
  attempt();
  return {
    close() {
      isOver = true;
      clearTimeout(again);
      close();
    },
  };
}
