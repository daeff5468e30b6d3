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
  return { sha256, format, facts: { ...facts, findings: [...lengthFindings(format), ...facts.findings] } }
}

function lengthFindings({ frames, promisedFrames, sampleRateHz }: AudioFormat): Finding[] {
  if (frames === promisedFrames) return []
  const presentSeconds = frames / sampleRateHz
  const common = { unit: 's', threshold: 0, atSeconds: [] }
  if (promisedFrames === null) return [{ kind: 'never-closed', value: presentSeconds, ...common }]
  const promisedSeconds = promisedFrames / sampleRateHz
  const value = promisedSeconds - presentSeconds
  return [{ kind: 'cut-short', value, ...common, presentSeconds, promisedSeconds }]
}
