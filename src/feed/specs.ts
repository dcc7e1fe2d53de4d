import { basename } from 'node:path';
import { shown } from './source.ts';

/** Where readings come from, as the command line says it. */
export type FeedSpec =
  | { readonly kind: 'input' }
  | { readonly kind: 'pipe'; readonly path: string }
  | { readonly kind: 'port'; readonly port: number };

export type ReadSpec =
  | { readonly ok: true; readonly spec: FeedSpec }
  | { readonly ok: false; readonly why: string; readonly hint: string };

const HINT = 'write - for standard input, the path of a named pipe, or port:9311';

/** Reads `-`, `/path/of/a/pipe`, `port:9311` or `127.0.0.1:9311`. */
export function feedSpec(text: string): ReadSpec {
  if (text === '-') return { ok: true, spec: { kind: 'input' } };
  const port = /^(?:port|127\.0\.0\.1|localhost):(\d{1,5})$/.exec(text);
  if (port) {
    const number = Number(port[1]);
    if (number >= 1024 && number <= 65_535) return { ok: true, spec: { kind: 'port', port: number } };
    return { ok: false, why: `${number} is no port for this`, hint: 'give a port from 1024 to 65535' };
  }
  if (/^(?:[\w.-]+|\[[\da-f:]+\]):\d+$/i.test(text))
    return {
      ok: false,
      why: `lines are not taken at "${text}"`,
      hint: 'readings are taken from this machine alone: port:9311; for another machine there is MQTT',
    };
  if (text === 'mqtt' || /^mqtts?:/.test(text))
    return {
      ok: false,
      why: "a broker is the kitchen's, and is read without being asked for here",
      hint: 'name it, and the topic of each probe, in the kitchen file',
    };
  if (text.includes('/') || text.startsWith('.')) return { ok: true, spec: { kind: 'pipe', path: text } };
  return { ok: false, why: `"${text}" is no feed`, hint: HINT };
}

/** What the cook knows a feed by. */
export function feedName(spec: FeedSpec): string {
  switch (spec.kind) {
    case 'input':
      return 'standard input';
    case 'pipe':
      return `pipe ${shown(basename(spec.path)).slice(0, 40)}`;
    case 'port':
      return `port ${spec.port}`;
  }
}
