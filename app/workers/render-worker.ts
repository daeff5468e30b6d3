// The entry of a pool thread: one function per job, by the job's name.

import { mkdirSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { openAudioFile } from '../audio/open-audio-file.ts'
import { openTakeFile, readFormat } from '../audio/open-take-file.ts'
import { encodePeaks } from '../audio/peaks.ts'
import { writeFileSafely } from '../audio/safe-write.ts'
import { hashFile } from '../audio/sha256.ts'
import { Failure } from '../contract/failure.ts'
import { bounceUnit as renderUnitToFiles } from '../engine/bounce-unit.ts'
import { matchDriveOutput } from '../engine/match-drive.ts'
import { measureAudio } from '../engine/measure-audio.ts'
import { measureJoints } from '../engine/measure-joints.ts'
import { processAudioFile } from '../engine/process-file.ts'
import { unitsOf } from '../engine/render-unit.ts'
import { renderVoiceTake as renderVoiceToFile } from '../engine/render-voice-take.ts'
import { createTakeSource, type TakeSource } from '../engine/take-source.ts'
import type { JobAnswer, JobName, Jobs, JobTask } from './jobs.ts'

type Work<N extends JobName> = (
  input: Jobs[N]['input'],
  moved: (fraction: number) => void,
) => Jobs[N]['output'] | Promise<Jobs[N]['output']>

/** Wraps the work of a job: failures become data, progress goes to shared memory, and cancelling stops it. */
function job<N extends JobName>(work: Work<N>): (task: JobTask<N>) => Promise<JobAnswer<N>> {
  return async ({ input, cancel, progress }) => {
    const moved = (fraction: number): void => {
      progress[0] = fraction
      if (Atomics.load(cancel, 0) === 1) throw new Failure('cancelled', 'Cancelled; nothing was kept of it.')
    }
    try {
      moved(0)
      return { ok: true, output: await work(input, moved) }
    } catch (error) {
      if (error instanceof Failure) return { ok: false, failure: error.toData() }
      throw error
    }
  }
}

export const measureTake = job<'measureTake'>(async ({ path, workingFolder, peaksFolder }, moved) => {
  const sha256 = await hashFile(path, undefined, (done, total) => moved((0.2 * done) / Math.max(1, total)))
  const audio = await openTakeFile(path, sha256, workingFolder)
  try {
    const { facts, peaks } = measureAudio(audio, path, (fraction) => moved(0.2 + fraction * 0.8))
    if (peaksFolder !== null) writeFileSafely(join(peaksFolder, `${sha256}.peaks`), encodePeaks(peaks))
    return { sha256, format: await readFormat(path), facts }
  } finally {
    audio.close()
  }
})

export const bounceUnit = job<'bounceUnit'>(({ plan, unitIndex, stems, ceilingTrimDb, takePaths }, moved) => {
  const opened: TakeSource[] = []
  try {
    return renderUnitToFiles(
      plan,
      unitsOf(plan)[unitIndex],
      stems,
      ceilingTrimDb,
      (layer) => {
        const source = createTakeSource(openAudioFile(takePaths[layer.take.sha256]), plan.sampleRateHz)
        opened.push(source)
        return source
      },
      moved,
    )
  } finally {
    for (const source of opened) source.close()
  }
})

export const measureChain = job<'measureChain'>(({ path, sampleRateHz, stages, options }, moved) => {
  const source = createTakeSource(openAudioFile(path), sampleRateHz)
  try {
    return measureJoints(source, sampleRateHz, stages, moved, options)
  } finally {
    source.close()
  }
})

export const matchDrive = job<'matchDrive'>(({ path, sampleRateHz, before, drive }, moved) => {
  const source = createTakeSource(openAudioFile(path), sampleRateHz)
  try {
    return matchDriveOutput(source, sampleRateHz, before, drive, moved)
  } finally {
    source.close()
  }
})

export const processFile = job<'processFile'>(({ from, to, setups, encoding }, moved) =>
  processAudioFile(from, to, setups, encoding, moved),
)

export const renderVoiceTake = job<'renderVoiceTake'>((take) => {
  mkdirSync(dirname(take.path), { recursive: true })
  renderVoiceToFile(take)
  return null
})
