// Measures the joints of a chain on one sound, a take or what a group's chain gets, and keeps the rows along the song. What a
// chain that was measured before has in common with it is not measured again.

import type { SongOfChain } from '../../contract/song/joint-rows.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { strandHop } from '../../dsp/meters/strands.ts'
import {
  type JointsOfTake,
  type JointsPart,
  joinParts,
  type MeasureOptions,
  type StageRange,
  type StageToMeasure,
} from '../../engine/measuring/measure-joints.ts'
import { createPassedSound } from '../../engine/measuring/passed-sound.ts'
import { splitStages } from '../../engine/measuring/split-stages.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import type { MeasuredSound } from '../../workers/jobs.ts'
import { PROGRAM } from '../program.ts'
import { runTogether } from '../run-together.ts'
import type { Workplace } from '../workplace.ts'
import type { JointCache } from './joint-cache.ts'
import { hasRows, rowKeysOf } from './row-cache.ts'

/** The sound that a chain is measured on. */
export interface SoundOfSong {
  readonly sound: MeasuredSound
  /** Of all that the sound depends on. */
  readonly sha256: string
  /** What its measurement is kept under over a restart: one for each take or group. */
  readonly slot: string
  readonly channels: number
  readonly frames: number
  readonly sampleRateHz: number
}

/** The sound of a measurement, without what its rows are kept under. */
export type SoundToMeasure = Pick<SoundOfSong, 'sound' | 'channels' | 'frames' | 'sampleRateHz'>

/** On two threads where nothing plays. */
export async function measureOnThreads(
  { pool, playback }: Workplace,
  { sound, channels, frames, sampleRateHz }: SoundToMeasure,
  stages: readonly StageToMeasure[],
  options: MeasureOptions,
  { signal, report }: Pick<CallContext, 'signal' | 'report'>,
): Promise<JointsOfTake> {
  // While something plays, the other processors are left to it: a moved knob must be heard at once.
  const threads = playback.isInUse() ? 1 : pool.threads
  const firstStage = options.from?.beforeStage ?? 0
  const split = splitStages(stages, firstStage, threads, true)
  const passedFrames = options.part == null ? frames : options.part.preRollFrames + options.part.frames
  const passed = split.length === 1 ? null : createPassedSound(channels, passedFrames, sampleRateHz)
  const ranges = passed === null ? splitStages(stages, firstStage, threads, false) : split
  const fractions = ranges.map(() => 0)
  const measure = (range: StageRange, index: number, both: AbortSignal): Promise<JointsPart> =>
    pool.run(
      'measureChain',
      { sound, sampleRateHz, stages, range, options, passed },
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

/** @param joints keeps the sound before the stage that is being edited */
export async function measureSong(
  workplace: Workplace,
  joints: JointCache,
  { sha256, slot, ...sound }: SoundOfSong,
  toMeasure: readonly StageToMeasure[],
  call: Pick<CallContext, 'signal' | 'report'>,
): Promise<SongOfChain> {
  const { songRows, keptSongs } = workplace
  const { channels, frames, sampleRateHz } = sound
  const rowFrames = strandHop(sampleRateHz)
  const keepsRows = hasRows(Math.ceil(frames / rowFrames), toMeasure.length + 1)
  const keys = rowKeysOf(sha256, sampleRateHz, toMeasure)
  const songKey = hashOfValue(['song of a chain', PROGRAM.version, keys, toMeasure])
  const earlier = !keepsRows || songRows.hasAll(keys) ? null : await keptSongs.read(songKey)
  if (earlier !== null) {
    for (const [joint, rows] of earlier.rows.entries()) songRows.keepPacked(keys[joint], rows)
    return earlier.song
  }
  const planned = joints.plan(sha256, toMeasure, 4 * channels * frames)
  const isUsable =
    planned.from === null || !keepsRows || songRows.hasAll(keys.slice(0, planned.from.beforeStage + 1))
  // Without the rows of the joints before it, a kept joint is of no use.
  const options = { ...planned, from: isUsable ? planned.from : null, keepsRows }
  const { measurement, kept, rows } = await measureOnThreads(workplace, sound, toMeasure, options, call)
  const firstJoint = options.from === null ? 0 : options.from.beforeStage + 1
  for (const [index, one] of rows.entries()) if (one !== null) songRows.keep(keys[firstJoint + index], one)
  if (kept !== null) joints.keep(sha256, toMeasure, kept)
  if (!keepsRows) return { ...measurement, rows: null }
  const layout = { sampleRateHz, frames, rowFrames, keys }
  const song = { ...measurement, rows: layout }
  const packed = keys.map((key) => songRows.read(key))
  const all = packed.filter((one) => one !== null)
  if (all.length === keys.length) keptSongs.keepLater(slot, songKey, { song, rows: all })
  return song
}
