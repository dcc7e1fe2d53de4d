/** What XML 1.0 has no place for, even escaped, and what would turn the direction of a text. */
const NOT_IN_XML =
  /[^\t\n\r\u{20}-\u{d7ff}\u{e000}-\u{fffd}\u{10000}-\u{10ffff}]|[\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069]/gu;

/** A text as it may stand between tags and in attributes. */
export const escaped = (text: string): string =>
  text
    .replace(NOT_IN_XML, '')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&apos;');

export type Attributes = Readonly<Record<string, string | number | undefined>>;

/** One element; figures are written to a tenth. */
export function element(name: string, attributes: Attributes, content = ''): string {
  const written = Object.entries(attributes)
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? figure(value) : escaped(String(value))}"`)
    .join('');
  return content === '' ? `<${name}${written}/>` : `<${name}${written}>${content}</${name}>`;
}

export const figure = (value: number): string => String(Math.round(value * 10) / 10);

export const line = (x1: number, y1: number, x2: number, y2: number, rest: Attributes = {}): string =>
  element('line', { x1, y1, x2, y2, ...rest });

export const rect = (x: number, y: number, width: number, height: number, rest: Attributes = {}): string =>
  element('rect', { x, y, width, height, ...rest });
