// Checks whether a take can be used in a session with another sample rate.

import { Failure } from '../../contract/failure.ts'
import { isConvertible } from '../../dsp/conversion/rate-conversion.ts'

/** @throws Failure `not-supported` where its rate cannot be converted to the session's */
export function refuseUnconvertible(name: string, sampleRateHz: number, sessionRateHz: number): void {
  if (sampleRateHz === sessionRateHz || isConvertible(sampleRateHz, sessionRateHz)) return
  throw new Failure(
    'not-supported',
    `${name} has a sample rate of ${sampleRateHz} Hz, which cannot be converted to the session's ${sessionRateHz} Hz; export it at a standard rate.`,
    { sampleRateHz },
  )
}
