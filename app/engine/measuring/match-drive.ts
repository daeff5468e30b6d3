// The output gain of a drive stage that makes driven and clean equally loud on one take, measured at the
// drive's place in the chain: after the stages before it, with the take alone, at its own level.

import type { StageSetup } from '../../contract/render-plan.ts'
import { createChain } from '../../dsp/chain.ts'
import { createDriveMatch } from '../../dsp/meters/drive-match.ts'
import { createLaneDelay } from '../../dsp/mix/lane-delay.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { createDrive } from '../../dsp/stages/drive.ts'
import type { DriveSettings } from '../../dsp/stages/settings.ts'
import type { TakeSource } from '../mixes/take-source.ts'

/**
 * @param before the stages before the drive, in order
 * @param onProgress receives the fraction done; throws to stop
 * @returns dB; null where nothing in the take is loud enough to compare, or the mix is 0
 */
export function matchDriveOutput(
  source: TakeSource,
  sampleRateHz: number,
  before: readonly StageSetup[],
  drive: DriveSettings,
  onProgress: (fraction: number) => void,
): number | null {
  const { channels, frames } = source
  const layout = { sampleRateHz, laneChannels: [channels] }
  const chain = createChain(before, layout)
  const stage = createDrive({ ...drive, mixPercent: 100, outputDb: 0 }, layout)
  const delay = createLaneDelay(layout.laneChannels, stage.latencySamples)
  const match = createDriveMatch({ sampleRateHz, channels })
  const makeBlock = (): Channels => Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))
  const clean = makeBlock()
  const driven = makeBlock()

  const total = frames + chain.latencySamples + stage.latencySamples
  for (let at = 0; at < total; at += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, total - at)
    source.read(at, count, clean)
    chain.process([clean], count)
    for (let c = 0; c < channels; c++) driven[c].set(clean[c])
    stage.process([driven], count)
    delay.process([clean], count)
    match.add(clean, driven, count)
    onProgress((at + count) / total)
  }
  return match.outputDb(drive.mixPercent)
}
