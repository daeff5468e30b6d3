import type { Span } from '../span.ts'
import type { Finding } from '../take-findings.ts'
import type { HumFamily } from './hum.ts'
import type { Phrase } from './phrases.ts'
import type { Polarity } from './polarity.ts'
import type { SpectralEdge } from './spectral-edge.ts'
import type { TrackedCompression } from './tracked-compression.ts'

export interface CheckEvidence {
  readonly seconds: number
  readonly floorDbfs: number | null
  readonly floorSeconds: number
  readonly voiceDbfs: number | null
  readonly quietOffset: number | null
  readonly phrases: readonly Phrase[]
  readonly breaths: readonly Span[]
  readonly clicks: readonly Span[]
  readonly pops: readonly (Span & { readonly riseDb: number })[]
  readonly hum: HumFamily | null
  readonly pauseSeconds: number
  readonly polarity: Polarity
  readonly edge: SpectralEdge | null
  readonly trackedCompression: TrackedCompression
  readonly oppositeChannels: boolean
}
export function checkFindings(_: CheckEvidence): Finding[] {
  return []
}
