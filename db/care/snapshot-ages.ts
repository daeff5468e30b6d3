// Which snapshots of a catalogue are kept as they grow old.

/** A copy of a catalogue as it was. */
export interface Snapshot {
  readonly path: string
  /** ISO 8601, UTC. */
  readonly at: string
  /** Tells whether the catalogue has changed since. */
  readonly fingerprint: string
}

/** Of each span the newest snapshot is kept. Common practice for backups: dense at first, then thinner. */
const KEPT: readonly (readonly [spanS: number, count: number])[] = [
  [3600, 24],
  [24 * 3600, 7],
  [7 * 24 * 3600, 5],
  [30 * 24 * 3600, 12],
]

/** @param snapshots newest first; the newest is never dropped */
export function snapshotsToDrop(snapshots: readonly Snapshot[], now: string): Snapshot[] {
  const kept = new Set(snapshots.slice(0, 1))
  for (const [spanS, count] of KEPT) {
    const filled = new Set<number>()
    for (const snapshot of snapshots) {
      const span = Math.floor((Date.parse(now) - Date.parse(snapshot.at)) / (1000 * spanS))
      if (span >= count || filled.has(span)) continue
      filled.add(span)
      kept.add(snapshot)
    }
  }
  return snapshots.filter((snapshot) => !kept.has(snapshot))
}
