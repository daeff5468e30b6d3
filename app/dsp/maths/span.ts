// A stretch of a take, and the merging of stretches that are close together.

/** Seconds from the take's first sample. */
export interface Span {
  readonly fromS: number
  readonly toS: number
}

/** Spans in order; those with gaps shorter than `gapSeconds` are merged. */
export function mergedSpans(spans: readonly Span[], gapSeconds: number): Span[] {
  const merged: Span[] = []
  for (const { fromS, toS } of [...spans].sort((a, b) => a.fromS - b.fromS)) {
    const last = merged.at(-1)
    if (last !== undefined && fromS - last.toS < gapSeconds) {
      merged[merged.length - 1] = { fromS: last.fromS, toS: Math.max(last.toS, toS) }
    } else merged.push({ fromS, toS })
  }
  return merged
}
