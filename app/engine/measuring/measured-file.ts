// What is known about a recording once it has been measured.

import type { AudioFormat } from '../../audio/audio-source.ts'
import { formatOf } from '../../audio/open-take-file.ts'
import type { Finding } from '../../contract/finding.ts'
import type { TakeFacts } from '../../contract/take-facts.ts'

/** Format, hash and facts of one file. */
export interface MeasuredFile {
  readonly sha256: string
  readonly format: AudioFormat
  readonly facts: TakeFacts
}

/**
 * @param readable format of the file that was measured: of the working copy of a FLAC take
 * @throws Failure as openAudioFile
 */
export function measuredFileOf(
  path: string,
  sha256: string,
  readable: AudioFormat,
  facts: TakeFacts,
): MeasuredFile {
  const format = formatOf(path, readable)
  return { sha256, format, facts: { ...facts, findings: [...cutShort(format), ...facts.findings] } }
}

function cutShort({ frames, promisedFrames, sampleRateHz }: AudioFormat): Finding[] {
  if (frames === promisedFrames) return []
  return [
    {
      kind: 'cut-short',
      value: (promisedFrames - frames) / sampleRateHz,
      unit: 's',
      threshold: 0,
      atSeconds: [],
      presentSeconds: frames / sampleRateHz,
      promisedSeconds: promisedFrames / sampleRateHz,
    },
  ]
}
