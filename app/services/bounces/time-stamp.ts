// The time stamp of a session's stems.

import type { Session } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'

/**
 * Samples since midnight of the first frame of a plan, as bext chunks count (EBU Tech 3285, 2.3).
 * @throws Failure `invalid-input` if that is before midnight, which a time stamp cannot express
 */
export function timeReferenceOf(
  session: Pick<Session, 'songTitle' | 'startOfDayS' | 'sampleRateHz'>,
  plan: Pick<RenderPlan, 'startFrame'>,
): number {
  const samples = session.startOfDayS * session.sampleRateHz + plan.startFrame
  if (samples >= 0) return samples
  const seconds = -samples / session.sampleRateHz
  throw new Failure(
    'invalid-input',
    `The stack of ${session.songTitle} would start ${seconds.toFixed(3)} s before midnight, which the time stamp of a stem cannot say; set the session's start time that much later, or move the layers.`,
    { seconds },
  )
}
