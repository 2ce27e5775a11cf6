/** First index whose time reaches timeS; the list's length where none does. Times rise. */
export function firstFrom(timesS: readonly number[], timeS: number): number {
  let low = 0;
  let high = timesS.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((timesS[middle] ?? 0) < timeS) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Index of the entry nearest to a time, of two as near the later; times rise. 0 for an empty list. */
export function nearestIndex(timesS: readonly number[], timeS: number): number {
  const at = Math.max(0, Math.min(firstFrom(timesS, timeS), timesS.length - 1));
  const before = timesS[at - 1];
  return before !== undefined && timeS - before < (timesS[at] ?? Infinity) - timeS ? at - 1 : at;
}
