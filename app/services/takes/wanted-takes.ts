// Takes that are searched for, by size and by hash. Asking for a size costs the same however many takes are
// searched for.

import type { TakeOnDisk } from '../../../db/tables/takes.ts'

export interface WantedTakes {
  /** Whether a file of this size can have the bytes of a take that is still searched for. */
  mayBeOneOfSize(sizeBytes: number): boolean
  /** The take with this hash, which is not searched for any more; undefined if there is none. */
  takeOut(sha256: string): TakeOnDisk | undefined
}

/** Of pictures, cue lists and padding around the sound: where a size was not noted, larger files are not tried. */
const MOST_OTHER_BYTES = 1 << 24

export function createWantedTakes(takes: readonly TakeOnDisk[]): WantedTakes {
  const wanted = new Map(takes.map((take) => [take.sha256, take]))
  const countOfSize = new Map<number, number>()
  const withoutSize = new Set<TakeOnDisk>()
  for (const take of wanted.values()) {
    if (take.sizeBytes === null) withoutSize.add(take)
    else countOfSize.set(take.sizeBytes, (countOfSize.get(take.sizeBytes) ?? 0) + 1)
  }
  return {
    mayBeOneOfSize: (sizeBytes) =>
      (countOfSize.get(sizeBytes) ?? 0) > 0 || [...withoutSize].some((take) => canHaveSize(take, sizeBytes)),
    takeOut(sha256) {
      const take = wanted.get(sha256)
      if (take === undefined) return undefined
      wanted.delete(sha256)
      withoutSize.delete(take)
      if (take.sizeBytes !== null) countOfSize.set(take.sizeBytes, (countOfSize.get(take.sizeBytes) ?? 0) - 1)
      return take
    },
  }
}

/** For a take of which the size was not noted. */
function canHaveSize({ frames, channels, encoding, container }: TakeOnDisk, sizeBytes: number): boolean {
  // The name of an encoding ends in its bits per sample.
  const soundBytes = (frames * channels * Number(/\d+$/.exec(encoding)?.[0] ?? 32)) / 8
  const least = container === 'flac' ? 0 : soundBytes
  return sizeBytes > least && sizeBytes <= soundBytes + MOST_OTHER_BYTES
}
