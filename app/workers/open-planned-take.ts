// Opens the take of a planned layer at the session's rate.

import { openAudioFile } from '../audio/open-audio-file.ts'
import { Failure } from '../contract/failure.ts'
import type { PlannedLayer } from '../contract/render-plan.ts'
import { createTakeSource, type TakeSource } from '../engine/mixes/take-source.ts'
import type { TakePaths } from './jobs.ts'

/**
 * @throws Failure 'changed' when its file was cut short since it was imported, which would end the layer early
 *   without a message; as openAudioFile
 */
export function openPlannedTake(
  { name, take }: PlannedLayer,
  takePaths: TakePaths,
  sampleRateHz: number,
): TakeSource {
  const path = takePaths[take.sha256]
  const source = openAudioFile(path)
  if (source.format.frames === take.frames) return createTakeSource(source, sampleRateHz)
  source.close()
  throw new Failure(
    'changed',
    `${path} is not as it was when the take of ${name} was imported: its length differs. Restore the original file and try again.`,
    { path, layer: name },
  )
}
