/** What waits in a queue: from when, before whom of the same moment, and what. */
export interface Waiting<T> {
  readonly at: number;
  /** Lower goes first among those of one moment. */
  readonly rank: number;
  readonly item: T;
}

interface Entry<T> extends Waiting<T> {
  readonly number: number;
}

/** A binary heap: the earliest first, then by rank, then first come, first served. */
export class Queue<T> {
  private readonly heap: Entry<T>[] = [];
  private pushed = 0;

  push(at: number, rank: number, item: T): void {
    const { heap } = this;
    const entry = { at, rank, item, number: this.pushed };
    this.pushed += 1;
    let k = heap.length;
    heap.push(entry);
    while (k > 0) {
      const up = (k - 1) >> 1;
      if (!before(entry, heap[up]!)) break;
      heap[k] = heap[up]!;
      k = up;
    }
    heap[k] = entry;
  }

  pop(): Waiting<T> | undefined {
    const { heap } = this;
    const top = heap[0];
    const entry = heap.pop();
    if (!top || !entry || heap.length === 0) return top;
    let k = 0;
    for (;;) {
      let down = 2 * k + 1;
      if (down >= heap.length) break;
      if (down + 1 < heap.length && before(heap[down + 1]!, heap[down]!)) down += 1;
      if (!before(heap[down]!, entry)) break;
      heap[k] = heap[down]!;
      k = down;
    }
    heap[k] = entry;
    return top;
  }
}

function before<T>(a: Entry<T>, b: Entry<T>): boolean {
  if (a.at !== b.at) return a.at < b.at;
  return a.rank !== b.rank ? a.rank < b.rank : a.number < b.number;
}
