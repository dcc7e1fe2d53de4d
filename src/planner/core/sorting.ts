/** Puts an order that is almost right in order of a key: the fewer are out of place, the faster. */
export function sortBy(order: Int32Array, key: Int32Array): void {
  for (let i = 1; i < order.length; i += 1) {
    const item = order[i] ?? 0;
    const value = key[item] ?? 0;
    let j = i - 1;
    while (j >= 0 && (key[order[j] ?? 0] ?? 0) > value) {
      order[j + 1] = order[j] ?? 0;
      j -= 1;
    }
    order[j + 1] = item;
  }
}
