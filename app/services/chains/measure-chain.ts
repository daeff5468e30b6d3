// What a chain does to a take at every joint: of the whole take with its rows along the song, kept and redone from the
// changed stage on, and of a part of it, which is there soon.

import type { ChainStages } from '../../contract/chain-document.ts'
import type { Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { CallContext, Handlers } from '../../contract/wire/commands.ts'
import { strandHop } from '../../dsp/meters/strands.ts'
import { BLOCK_FRAMES } from '../../dsp/stage.ts'
import {
  type JointsOfTake,
  type JointsPart,
  joinParts,
  type MeasureOptions,
  type StageRange,
  type StageToMeasure,
  type TakePart,
} from '../../engine/measuring/measure-joints.ts'
import { createPassedSound } from '../../engine/measuring/passed-sound.ts'
import { splitStages } from '../../engine/measuring/split-stages.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { PROGRAM } from '../program.ts'
import { runTogether } from '../run-together.ts'
import { micCurveOf } from '../sessions/plan-session.ts'
import { readableTake } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { createJointCache } from './joint-cache.ts'
import { resolveStages } from './resolve-stages.ts'
import { hasRows, rowKeysOf } from './row-cache.ts'

/** As long as the slowest release of the opto (F5), so that a part begins as reduced as it is within the take. */
const PRE_ROLL_SECONDS = 5

export function measureChainHandlers(
  workplace: Workplace,
): Pick<Handlers, 'measureChain' | 'measureChainPart'> {
  const { catalogue, pool, playback, fitter, songRows, keptSongs } = workplace
  const joints = createJointCache()

  const toMeasureOf = (take: Take, stages: ChainStages): StageToMeasure[] =>
    resolveStages(stages, micCurveOf(catalogue, take), take.sampleRateHz, fitter).map(
      ({ stage, setup, remark }) => ({ kind: stage.kind, on: stage.on, setup, remark }),
    )

  /** On two threads where nothing plays. */
  const measureOnThreads = async (
    take: Take,
    path: string,
    stages: readonly StageToMeasure[],
    options: MeasureOptions,
    { signal, report }: Pick<CallContext, 'signal' | 'report'>,
  ): Promise<JointsOfTake> => {
    // While something plays, the other processors are left to it: a moved knob must be heard at once.
    const threads = playback.isInUse() ? 1 : pool.threads
    const firstStage = options.from?.beforeStage ?? 0
    const split = splitStages(stages, firstStage, threads, true)
    const frames = options.part == null ? take.frames : options.part.preRollFrames + options.part.frames
    const passed = split.length === 1 ? null : createPassedSound(take.channels, frames, take.sampleRateHz)
    const ranges = passed === null ? splitStages(stages, firstStage, threads, false) : split
    const fractions = ranges.map(() => 0)
    const measure = (range: StageRange, index: number, both: AbortSignal): Promise<JointsPart> =>
      pool.run(
        'measureChain',
        { path, sampleRateHz: take.sampleRateHz, stages, range, options, passed },
        {
          signal: both,
          onProgress(fraction) {
            fractions[index] = fraction
            report(Math.min(...fractions), 'Measuring the joints')
          },
        },
      )
    // The first part comes first in the pool's queue too, so the second never waits for one that has no thread.
    const parts = await runTogether(signal, (both) =>
      Promise.all(ranges.map((range, index) => measure(range, index, both))),
    )
    return joinParts(parts, options)
  }

  return {
    async measureChain({ takeId, stages }, { signal, report }) {
      const take = catalogue.takes.get(takeId)
      const path = await readableTake(workplace, take, signal)
      const toMeasure = toMeasureOf(take, stages)
      const rowFrames = strandHop(take.sampleRateHz)
      const keepsRows = hasRows(Math.ceil(take.frames / rowFrames), toMeasure.length + 1)
      const keys = rowKeysOf(take.sha256, take.sampleRateHz, toMeasure)
      const songKey = hashOfValue(['song of a chain', PROGRAM.version, keys, toMeasure])
      const earlier = !keepsRows || songRows.hasAll(keys) ? null : await keptSongs.read(songKey)
      if (earlier !== null) {
        for (const [joint, rows] of earlier.rows.entries()) songRows.keepPacked(keys[joint], rows)
        return earlier.song
      }
      const planned = joints.plan(take.sha256, toMeasure, 4 * take.channels * take.frames)
      const isUsable =
        planned.from === null || !keepsRows || songRows.hasAll(keys.slice(0, planned.from.beforeStage + 1))
      // Without the rows of the joints before it, a kept joint is of no use.
      const options = { ...planned, from: isUsable ? planned.from : null, keepsRows }
      const { measurement, kept, rows } = await measureOnThreads(take, path, toMeasure, options, {
        signal,
        report,
      })
      const firstJoint = options.from === null ? 0 : options.from.beforeStage + 1
      for (const [index, one] of rows.entries())
        if (one !== null) songRows.keep(keys[firstJoint + index], one)
      if (kept !== null) joints.keep(take.sha256, toMeasure, kept)
      if (!keepsRows) return { ...measurement, rows: null }
      const layout = { sampleRateHz: take.sampleRateHz, frames: take.frames, rowFrames, keys }
      const song = { ...measurement, rows: layout }
      const packed = keys.map((key) => songRows.read(key))
      const all = packed.filter((one) => one !== null)
      if (all.length === keys.length) keptSongs.keepLater(take.sha256, songKey, { song, rows: all })
      return song
    },

    async measureChainPart({ takeId, stages, fromSeconds, toSeconds }, { signal, report }) {
      const take = catalogue.takes.get(takeId)
      const part = partOf(take, fromSeconds, toSeconds)
      const path = await readableTake(workplace, take, signal)
      const options = { part }
      const { measurement } = await measureOnThreads(take, path, toMeasureOf(take, stages), options, {
        signal,
        report,
      })
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
