// The messages about a recording that is cut short or was never closed, or contains more than its header says.

import { partOfSeconds } from '../contract/text/part-of-seconds.ts'
import type { AudioFormat } from './audio-source.ts'

type Lengths = Pick<AudioFormat, 'unreadBytes' | 'frames' | 'promisedFrames' | 'sampleRateHz'>

/** @param name what to call the file */
export function remarksOn(
  name: string,
  { unreadBytes, frames, promisedFrames, sampleRateHz }: Lengths,
): string[] {
  const remarks: string[] = []
  if (promisedFrames === null) {
    const seconds = (frames / sampleRateHz).toFixed(1)
    remarks.push(
      `${name} was never closed: its header gives no length, so all ${seconds} s to its end were taken.`,
    )
  } else if (frames < promisedFrames) {
    const part = partOfSeconds(frames / sampleRateHz, promisedFrames / sampleRateHz)
    remarks.push(`${name} is cut short: ${part} are there.`)
  }
  if (unreadBytes > 0) {
    remarks.push(
      `${name} holds more than its header says: ${(frames / sampleRateHz).toFixed(3)} s of sound were read, and ${unreadBytes} bytes behind them were not; if sound is missing, export the recording again.`,
    )
  }
  return remarks
}
