import { parsed, unreadable, type Parsed } from '../units/index.ts';

/** How the texts are read that say where readings come from over a network. */

const MAX_TOPIC = 200;
const UNSEEN = /[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Co}\p{Cs}]/u;

/** Reads the topic of one probe. MQTT's wildcards are refused: what they match would be read as one probe. */
export function readTopic(text: string): Parsed<string> {
  const hint = 'write it as the broker has it: kitchen/probes/cream';
  if (text === '') return unreadable('this topic is empty', hint);
  if (UNSEEN.test(text))
    return unreadable('this topic has unseen or control characters in it', 'delete them');
  if (text.length > MAX_TOPIC) {
    return unreadable(`this topic has ${text.length} characters`, `use at most ${MAX_TOPIC}`);
  }
  const wildcard = /[#+]/.exec(text)?.[0];
  if (wildcard !== undefined) {
    return unreadable(`"${wildcard}" in a topic stands for many topics, and this is one probe`, hint);
  }
  return parsed(text);
}

const MAX_DEPTH = 8;
const FIELD = /^[\p{L}\p{N}_-]{1,40}(?:\.[\p{L}\p{N}_-]{1,40})*$/u;

/** Reads where in a JSON payload a reading stands: `value`, `sensors.2.temperature`; at most 8 parts. */
export const readField = (text: string): Parsed<string> =>
  FIELD.test(text) && text.split('.').length <= MAX_DEPTH
    ? parsed(text)
    : unreadable(
        `"${text}" is not the name of a field`,
        `write at most ${MAX_DEPTH} parts: temperature.value`,
      );

const VARIABLE = /^[A-Za-z_]\w{0,63}$/;

/** Reads the name of an environment variable. What is not one is not repeated, as it may be the password itself. */
export const readVariable = (text: string): Parsed<string> =>
  VARIABLE.test(text)
    ? parsed(text)
    : unreadable(
        'this is not the name of an environment variable',
        'write the name of the variable that holds the password: BROKER_PASSWORD',
      );

const MAX_URL = 300;

/** Reads where a broker is: `mqtt://host`, `mqtts://host:8883`. What names a user or a password is refused and not repeated. */
export function readBrokerUrl(text: string): Parsed<string> {
  const hint = 'write mqtt://kitchen.local:1883, or mqtts://kitchen.local:8883';
  const notOne: Parsed<string> = unreadable('this is not the address of a broker', hint);
  if (text.length > MAX_URL || UNSEEN.test(text) || !URL.canParse(text)) return notOne;
  const { protocol, username, password, hostname, pathname, search, hash } = new URL(text);
  if (username !== '' || password !== '') {
    return unreadable(
      'a name or a password must not stand in the address',
      'write user: NAME and password from: BROKER_PASSWORD, and put the password into that environment variable',
    );
  }
  if (protocol !== 'mqtt:' && protocol !== 'mqtts:') {
    return unreadable(`a broker is not asked by "${protocol.slice(0, 20)}//"`, hint);
  }
  const isPlain = (pathname === '' || pathname === '/') && search === '' && hash === '';
  return hostname !== '' && isPlain ? parsed(text) : notOne;
}
