/** Those who hear of changes, in the order they came. */
export interface Listeners<T> {
  tell(change: T): void;
  add(listener: (change: T) => void): () => void;
}

export function listeners<T>(): Listeners<T> {
  const all = new Set<(change: T) => void>();
  return {
    tell: (change) => {
      for (const listener of all) listener(change);
    },
    add: (listener) => {
      all.add(listener);
      return () => all.delete(listener);
    },
  };
}
