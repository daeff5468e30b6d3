// What a chain does at every joint to a take or to what its group gives it: of the whole with its rows along the song, kept and
// redone from the changed stage on, and of a part of a take, which is there soon.

import type { ChainStages } from '../../contract/chain-document.ts'
import type { Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { BLOCK_FRAMES } from '../../dsp/stage.ts'
import type { StageToMeasure, TakePart } from '../../engine/measuring/measure-joints.ts'
import { micCurveOf } from '../sessions/plan-session.ts'
import { readableTake } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { createJointCache } from './joint-cache.ts'
import { measureGroupSong } from './measure-group.ts'
import { measureOnThreads, measureSong, type SoundToMeasure } from './measure-song.ts'
import { resolveStages } from './resolve-stages.ts'

/** As long as the slowest release of the opto (F5), so that a part begins as reduced as it is within the take. */
const PRE_ROLL_SECONDS = 5

export function measureChainHandlers(
  workplace: Workplace,
): Pick<Handlers, 'measureChain' | 'measureGroup' | 'measureChainPart'> {
  const { catalogue, fitter } = workplace
  const joints = createJointCache()

  const toMeasureOf = (take: Take, stages: ChainStages): StageToMeasure[] =>
    resolveStages(stages, micCurveOf(catalogue, take), take.sampleRateHz, fitter).map(
      ({ stage, setup, remark }) => ({ kind: stage.kind, on: stage.on, setup, remark }),
    )
  const soundOf = async (take: Take, signal: AbortSignal): Promise<SoundToMeasure> => {
    const { channels, frames, sampleRateHz } = take
    return { sound: { path: await readableTake(workplace, take, signal) }, channels, frames, sampleRateHz }
  }

  return {
    async measureChain({ takeId, stages }, call) {
      const take = catalogue.takes.get(takeId)
      const sound = await soundOf(take, call.signal)
      const { sha256 } = take
      return measureSong(
        workplace,
        joints,
        { ...sound, sha256, slot: sha256 },
        toMeasureOf(take, stages),
        call,
      )
    },

    async measureGroup({ groupId, stages }, call) {
      const { song, startFrame } = await measureGroupSong(workplace, joints, groupId, stages, call)
      return { ...song, startFrame }
    },

    async measureChainPart({ takeId, stages, fromSeconds, toSeconds }, call) {
      const take = catalogue.takes.get(takeId)
      const part = partOf(take, fromSeconds, toSeconds)
      const sound = await soundOf(take, call.signal)
      const toMeasure = toMeasureOf(take, stages)
      const { measurement } = await measureOnThreads(workplace, sound, toMeasure, { part }, call)
      return measurement
    },
  }
}

/** In whole blocks from the take's start, so that the pre-roll is one of blocks. */
function partOf(take: Take, fromSeconds: number, toSeconds: number): TakePart {
  const { frames, sampleRateHz, name } = take
  const blockOf = (seconds: number): number =>
    Math.floor((seconds * sampleRateHz) / BLOCK_FRAMES) * BLOCK_FRAMES
  const fromFrame = blockOf(fromSeconds)
  const end = Math.min(frames, Math.round(toSeconds * sampleRateHz))
  if (end <= fromFrame) {
    throw new Failure(
      'invalid-input',
      `${name} has no sound from ${fromSeconds} to ${toSeconds} s; choose a part within its ${frames / sampleRateHz} s.`,
      { fromSeconds, toSeconds },
    )
  }
  return {
    fromFrame,
    frames: end - fromFrame,
    preRollFrames: Math.min(fromFrame, blockOf(PRE_ROLL_SECONDS)),
  }
}
