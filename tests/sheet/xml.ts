/** A node of a picture as a strict reader of XML sees it. */
export interface Node {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly (Node | string)[];
}

const NAME = '[A-Za-z_][A-Za-z0-9_.-]*';
const TAG = new RegExp(`^<(/?)(${NAME})((?:\\s+${NAME}(?::${NAME})?="[^"<]*")*)\\s*(/?)>`);
const ATTRIBUTE = new RegExp(`\\s(${NAME})="([^"<]*)"`, 'g');
const ENTITIES: Readonly<Record<string, string>> = { amp: '&', lt: '<', gt: '>', quot: '"', apos: "'" };

/**
 * Reads a document as XML 1.0 wants it, and throws on anything else: tags that do not close, a bare `&` or `<`, characters
 * that have no place in XML, more than one root. No comments, no declarations: a run sheet has none.
 */
export function readXml(text: string): Node {
  const wrong = /[^\P{Cc}\t\n\r]|\p{Cs}|[\ufffe\uffff]/u.exec(text);
  if (wrong) throw new Error(`a character that XML has no place for at ${wrong.index}`);
  const stack: { name: string; attributes: Record<string, string>; children: (Node | string)[] }[] = [
    { name: '', attributes: {}, children: [] },
  ];
  let at = 0;
  while (at < text.length) {
    const here = stack.at(-1);
    if (!here) throw new Error(`a tag too many is closed at ${at}`);
    if (text[at] !== '<') {
      const end = text.indexOf('<', at);
      const words = text.slice(at, end < 0 ? text.length : end);
      here.children.push(unescaped(words));
      at += words.length;
      continue;
    }
    const [whole, closing, name = '', attributes = '', empty] = TAG.exec(text.slice(at, at + 4000)) ?? [];
    if (whole === undefined) throw new Error(`no tag at ${at}: ${text.slice(at, at + 60)}`);
    at += whole.length;
    if (closing === '/') {
      const done = stack.pop();
      if (done?.name !== name) throw new Error(`</${name}> closes <${done?.name}> before ${at}`);
      stack.at(-1)?.children.push(done);
    } else {
      const node = { name, attributes: {} as Record<string, string>, children: [] };
      for (const [, key = '', value = ''] of attributes.matchAll(ATTRIBUTE)) {
        if (key in node.attributes) throw new Error(`${key} twice in <${name}>`);
        node.attributes[key] = unescaped(value);
      }
      if (empty === '/') here.children.push(node);
      else stack.push(node);
    }
  }
  const [root] = stack;
  if (stack.length !== 1 || !root) throw new Error(`<${stack.at(-1)?.name}> is never closed`);
  const nodes = root.children.filter((child): child is Node => typeof child !== 'string');
  if (nodes.length !== 1 || !nodes[0]) throw new Error(`${nodes.length} roots`);
  return nodes[0];
}

const unescaped = (text: string): string =>
  text.replace(/&([^;&\s]*);?/g, (whole, name: string) => {
    const found = whole.endsWith(';') ? ENTITIES[name] : undefined;
    if (found === undefined) throw new Error(`${whole} is no entity`);
    return found;
  });

/** Every node below and with this one. */
export const all = (node: Node): Node[] => [
  node,
  ...node.children.flatMap((child) => (typeof child === 'string' ? [] : all(child))),
];

/** What is written in a node, with a space between parts that stand apart. */
export const wordsOf = (node: Node): string =>
  node.children.map((child) => (typeof child === 'string' ? child : wordsOf(child))).join(' ');
