import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { isAbsolute } from 'node:path';
import type * as Mqtt from 'mqtt';
import type { Broker, Probe } from '../plan/index.ts';
import type { Pace } from './pace.ts';
import { figureIn, reading } from './reading-line.ts';
import { causeOf, shown, type Sink, type Source } from './source.ts';

/** Waits between attempts to reach a broker that is away: twice as long each time, up to half a minute. */
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30_000;
const KEEPALIVE_S = 20;
/** A payload that is larger holds no reading. */
const LARGEST_PAYLOAD = 4096;
/** Of one message so much is taken in at most before the broker is left; whoever publishes decides how large it is. */
const LARGEST_MESSAGE = 256 * 1024;
/** How long a broker may take to let go in the end. */
const LAST_WORDS_MS = 1000;

export interface BrokerOptions {
  readonly broker: Broker;
  readonly probes: readonly Probe[];
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly pace: Pace;
}

/** Whether anything is to be read from a broker. */
export const wantsBroker = (probes: readonly Probe[]): boolean =>
  probes.some(({ mqtt }) => mqtt !== undefined);

/**
 * Probes by MQTT. Each probe has its topic and, where payloads are JSON, the field its figure is in. The connection comes
 * back by itself and subscribes anew. What the broker kept from earlier (a retained message) has no time and may be from
 * yesterday: it is refused. Where the kitchen names a presence topic, the broker says `off` there once this program is gone
 * without a word.
 */
export function brokerSource(options: BrokerOptions, sink: Sink): Source {
  const settings = settingsOf(options);
  if (typeof settings === 'string') {
    sink.stands('off', settings);
    return { close: () => undefined };
  }
  try {
    // The package is large and few kitchens have a broker: it is loaded when one does, from where it is installed.
    const mqtt = createRequire(import.meta.url)('mqtt') as typeof Mqtt;
    return follow(mqtt.connect(options.broker.url, settings), options, sink);
  } catch (error) {
    sink.stands('off', causeOf(error));
    return { close: () => undefined };
  }
}

function follow(client: Mqtt.MqttClient, { broker, probes, pace }: BrokerOptions, sink: Sink): Source {
  const { presence, url } = broker;
  const topics = topicsOf(probes);
  const backoff = backoffOf(client);
  let why: string | undefined;
  let resuming: NodeJS.Timeout | undefined;
  client.on('connect', () => {
    backoff.connected();
    limit(client, pace, {
      wait: (resume, ms) => (resuming = setTimeout(resume, ms)),
      leave: () => (why = 'a message there is far too large'),
    });
    client.subscribe([...topics.keys()], { qos: 0 }, (error, granted) => {
      const refusal = granted?.find(({ qos }) => qos >= 128);
      if (error) sink.stands('off', `${url}: ${causeOf(error)}`);
      else if (refusal) sink.stands('off', `${url} keeps ${shown(refusal.topic)} from this user`);
      else sink.stands('on', url);
    });
    if (presence !== undefined) client.publish(presence, 'on', { retain: true });
  });
  client.on('message', (topic, payload, packet) => {
    if (packet.retain) return sink.refused();
    return take(topics.get(topic) ?? [], payload, sink);
  });
  client.on('error', (error) => {
    why = refusalOf(error) ?? causeOf(error);
  });
  client.on('close', () => {
    clearTimeout(resuming);
    sink.stands('off', `${url}: ${why ?? 'it does not answer'}`);
    why = undefined;
    backoff.closed();
  });
  return {
    close() {
      clearTimeout(resuming);
      if (!client.connected) return void client.end(true);
      if (presence !== undefined) client.publish(presence, 'off', { retain: true });
      client.end();
      const { stream } = client;
      const last = setTimeout(() => stream.destroy(), LAST_WORDS_MS);
      stream.once('close', () => clearTimeout(last));
    },
  };
}

/** Attempts grow rarer; only a connection that lasted starts them anew, so that a broker that drops everybody is left in peace. */
function backoffOf(client: Mqtt.MqttClient): { connected(): void; closed(): void } {
  let wait = FIRST_WAIT_MS;
  let lasts: NodeJS.Timeout | undefined;
  const next = (ms: number): void => void (client.options.reconnectPeriod = wait = ms);
  return {
    connected() {
      lasts = setTimeout(() => next(FIRST_WAIT_MS), LONGEST_WAIT_MS).unref();
    },
    closed() {
      clearTimeout(lasts);
      // The attempt that follows has its wait already; this one is for the one after it.
      next(Math.min(2 * wait, LONGEST_WAIT_MS));
    },
  };
}

/** Keeps what a connection brings within the pace, and leaves one that sends a message without end. */
function limit(
  client: Mqtt.MqttClient,
  pace: Pace,
  otherwise: {
    readonly wait: (resume: () => void, ms: number) => void;
    readonly leave: () => void;
  },
): void {
  const { stream } = client;
  let ofOneMessage = 0;
  const parsed = (): void => void (ofOneMessage = 0);
  client.on('packetreceive', parsed);
  stream.once('close', () => client.off('packetreceive', parsed));
  stream.on('data', (chunk: Uint8Array) => {
    ofOneMessage += chunk.length;
    if (ofOneMessage > LARGEST_MESSAGE) {
      otherwise.leave();
      stream.destroy();
      return;
    }
    const ms = pace(chunk.length, performance.now());
    if (ms === 0) return;
    stream.pause();
    otherwise.wait(() => stream.resume(), ms);
  });
}

/** What a broker answers to a user it does not let in: 4 and 5 in MQTT 3.1.1 (section 3.2.2.3). */
const refusalOf = (error: Error): string | undefined =>
  'code' in error && (error.code === 4 || error.code === 5)
    ? 'it does not let this user in with this password'
    : undefined;

function take(probes: readonly Probe[], payload: Buffer, sink: Sink): void {
  if (payload.length > LARGEST_PAYLOAD) return sink.refused();
  const text = payload.toString('utf8');
  for (const { name, mqtt } of probes) {
    const said = figureIn(text, mqtt?.field);
    const found = said && reading(name, said.figure, said.scale ?? mqtt?.scale ?? 'C');
    if (found) sink.reading(found);
    else sink.refused();
  }
  return undefined;
}

function topicsOf(probes: readonly Probe[]): ReadonlyMap<string, readonly Probe[]> {
  const topics = new Map<string, Probe[]>();
  for (const probe of probes) {
    if (!probe.mqtt) continue;
    const { topic } = probe.mqtt;
    topics.set(topic, [...(topics.get(topic) ?? []), probe]);
  }
  return topics;
}

/** How to connect, or why that cannot be. */
function settingsOf({ broker, env }: BrokerOptions): Mqtt.IClientOptions | string {
  const { user, passwordFrom, authority, presence } = broker;
  const password = passwordFrom === undefined ? undefined : env[passwordFrom];
  if (passwordFrom !== undefined && password === undefined)
    return `the password is to be in the environment as ${passwordFrom}, and is not there`;
  if (authority !== undefined && !isAbsolute(authority))
    return `give the whole path of the authority's certificate: ${shown(authority)}`;
  let ca: Buffer | undefined;
  try {
    ca = authority === undefined ? undefined : readFileSync(authority);
  } catch {
    return `the authority's certificate cannot be read: ${shown(authority ?? '')}`;
  }
  return {
    clean: true,
    resubscribe: false,
    reconnectPeriod: FIRST_WAIT_MS,
    reconnectOnConnackError: true,
    connectTimeout: 10_000,
    keepalive: KEEPALIVE_S,
    ...(user === undefined ? {} : { username: user }),
    ...(password === undefined ? {} : { password }),
    ...(ca === undefined ? {} : { ca }),
    ...(presence === undefined
      ? {}
      : { will: { topic: presence, payload: Buffer.from('off'), qos: 1, retain: true } }),
  };
}
