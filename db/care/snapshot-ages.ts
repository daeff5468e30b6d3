// Selects the snapshots of a catalogue that are kept as they age.

/** A copy of a catalogue as it was. */
export interface Snapshot {
  readonly path: string
  /** ISO 8601, UTC. */
  readonly at: string
  /** Hash of the contents, which shows whether the catalogue has changed since. */
  readonly fingerprint: string
  readonly sizeBytes: number
}

/** Time spans, each of which keeps a snapshot. Common practice for backups: dense at first, then sparser. */
const KEPT: readonly (readonly [spanS: number, count: number])[] = [
  [3600, 24],
  [24 * 3600, 7],
  [7 * 24 * 3600, 5],
  [30 * 24 * 3600, 12],
]

/**
 * Every span keeps its newest snapshot, and also its largest if that is more than twice as large: a catalogue
 * that was emptied by mistake must not displace the full one.
 * @param snapshots newest first; the newest is never dropped
 */
export function snapshotsToDrop(snapshots: readonly Snapshot[], now: string): Snapshot[] {
  const kept = new Set(snapshots.slice(0, 1))
  for (const [spanS, count] of KEPT) {
    const spanOf = ({ at }: Snapshot): number =>
      Math.floor((Date.parse(now) - Date.parse(at)) / (1000 * spanS))
    for (const [span, inSpan] of Map.groupBy(snapshots, spanOf)) {
      if (span >= count) continue
      const [newest] = inSpan
      kept.add(newest)
      const largest = inSpan.reduce((a, b) => (b.sizeBytes > a.sizeBytes ? b : a))
      if (largest.sizeBytes > 2 * newest.sizeBytes) kept.add(largest)
    }
  }
  return snapshots.filter((snapshot) => !kept.has(snapshot))
}
