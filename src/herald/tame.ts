/** In signs. */
const LONGEST = 200;

/**
 * Makes a text harmless for a notifier, which hands it to a shell or to another program's options: control characters and
 * line breaks become spaces, invisible marks that turn the direction of writing go, 200 characters at most, and it never
 * begins with a hyphen. Never empty.
 */
export function tame(text: string): string {
  const plain = text
    .slice(0, 20 * LONGEST)
    .replace(/[\p{Cc}\u2028\u2029]+/gu, ' ')
    .replace(/[\p{Cf}\p{Cs}\p{Co}]/gu, '')
    .trim()
    .replace(/^[-\s]+/, '');
  const short = Array.from(plain).slice(0, LONGEST).join('');
  return short === '' ? 'thirdhand' : short;
}
