// What is known about a recording once it has been measured.

import type { AudioFormat } from '../../audio/audio-source.ts'
import type { TakeFacts } from '../../contract/take-facts.ts'

/** Format, hash and facts of one file. */
export interface MeasuredFile {
  readonly sha256: string
  readonly format: AudioFormat
  readonly facts: TakeFacts
}
