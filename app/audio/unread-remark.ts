// The message about a recording that contains more than its header says.

import type { AudioFormat } from './audio-source.ts'

/** @param name what to call the file; null where all of it was read */
export function unreadRemark(
  name: string,
  { unreadBytes, frames, sampleRateHz }: Pick<AudioFormat, 'unreadBytes' | 'frames' | 'sampleRateHz'>,
): string | null {
  if (unreadBytes === 0) return null
  return `${name} holds more than its header says: ${(frames / sampleRateHz).toFixed(3)} s of sound were read, and ${unreadBytes} bytes behind them were not; if sound is missing, export the recording again.`
}
