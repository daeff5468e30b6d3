// Entry point of a pool thread: one function per job, exported under the job's name. Each job imports its
// modules on its first call, so that a thread starts quickly for short jobs.

import { dirname, join } from 'node:path'
import { cancelledFailure, Failure, systemFailure } from '../contract/failure.ts'
import type { PlannedLayer, RenderPlan } from '../contract/render-plan.ts'
import type { KnownTake, NamedTake } from '../engine/measuring/known-take.ts'
import type { JointsPart } from '../engine/measuring/measure-joints.ts'
import type { PrintShelf } from '../engine/measuring/print-shelf.ts'
import type { TakeSource } from '../engine/mixes/take-source.ts'
import type { JobAnswer, JobName, Jobs, JobTask, TakePaths } from './jobs.ts'

type Work<N extends JobName> = (
  input: Jobs[N]['input'],
  onProgress: (fraction: number) => void,
) => Jobs[N]['output'] | Promise<Jobs[N]['output']>

/** Wraps the work of a job: failures become data, progress goes to shared memory, and cancelling stops it. */
function job<N extends JobName>(work: Work<N>): (task: JobTask<N>) => Promise<JobAnswer<N>> {
  return async ({ input, cancel, progress }) => {
    const onProgress = (fraction: number): void => {
      progress[0] = fraction
      if (Atomics.load(cancel, 0) === 1) throw cancelledFailure()
    }
    try {
      onProgress(0)
      return { ok: true, output: await work(input, onProgress) }
    } catch (error) {
      // The code of a system error would be lost between threads.
      const failure = error instanceof Failure ? error : systemFailure(error)
      if (failure !== null) return { ok: false, failure: failure.toData() }
      throw error
    }
  }
}

export const checkCatalogue = job<'checkCatalogue'>(async ({ path }) => {
  const { checkCatalogueFile } = await import('../../db/care/checked-file.ts')
  checkCatalogueFile(path)
  return null
})

export const keepSnapshot = job<'keepSnapshot'>(async ({ path, now }) => {
  const { keepCatalogueSnapshot } = await import('../../db/care/checked-file.ts')
  keepCatalogueSnapshot(path, now)
  return null
})

export const hashFile = job<'hashFile'>(async ({ path, algorithm }, onProgress) => {
  const { hashFile: hashOf } = await import('../audio/sha256.ts')
  return hashOf(path, undefined, (done, total) => onProgress(done / Math.max(1, total)), algorithm)
})

export const unpackTake = job<'unpackTake'>(async ({ path, sha256, workingFolder }, onProgress) => {
  const { makeWorkingCopy } = await import('../audio/working-copy.ts')
  return makeWorkingCopy(path, sha256, workingFolder, onProgress)
})

/** About how much of the time of measuring a take has passed when it is hashed, and when FLAC is unpacked too. */
const HASHED = 0.1
const UNPACKED = 0.3

export const measureTake = job<'measureTake'>(async ({ path, workingFolder, peaksFolder }, onProgress) => {
  const { hashFile } = await import('../audio/sha256.ts')
  const { isFlac, openTakeFile, refuseUnreadable } = await import('../audio/open-take-file.ts')
  const { encodePeaks, isPeaksHead } = await import('../audio/peaks.ts')
  const { replaceOwnFile } = await import('../files/write-file.ts')
  const { measureAudio } = await import('../engine/measuring/measure-audio.ts')
  const { keepPrint } = await import('../engine/measuring/known-take.ts')
  const { measuredFileOf } = await import('../engine/measuring/measured-file.ts')
  refuseUnreadable(path)
  const sha256 = await hashFile(path, undefined, (done, total) =>
    onProgress((HASHED * done) / Math.max(1, total)),
  )
  const opened = isFlac(path) ? UNPACKED : HASHED
  const audio = await openTakeFile(path, sha256, workingFolder, (fraction) =>
    onProgress(HASHED + fraction * (opened - HASHED)),
  )
  try {
    const { facts, peaks, print } = await measureAudio(audio, path, (fraction) =>
      onProgress(opened + fraction * (1 - opened)),
    )
    if (peaksFolder !== null) {
      replaceOwnFile(join(peaksFolder, `${sha256}.peaks`), encodePeaks(peaks), isPeaksHead)
      keepPrint(peaksFolder, sha256, print)
    }
    return measuredFileOf(path, sha256, audio.format, facts)
  } finally {
    audio.close()
  }
})

export const makePrint = job<'makePrint'>(async ({ take, workingFolder, peaksFolder }, onProgress) => {
  const { makePrint: makePrintOf } = await import('../engine/measuring/known-take.ts')
  await makePrintOf(take, workingFolder, peaksFolder, onProgress)
  return null
})

/** Created on the first call and reused, because it caches the prints. */
let printShelf: PrintShelf | undefined

export const findPrintCandidates = job<'findPrintCandidates'>(async (question, onProgress) => {
  const { createPrintShelf } = await import('../engine/measuring/print-shelf.ts')
  printShelf ??= createPrintShelf()
  return printShelf.candidates(question, onProgress)
})

export const findSamePerformance = job<'findSamePerformance'>(
  async ({ take, others, longestBits, workingFolder, peaksFolder }, onProgress) => {
    const { knownTake } = await import('../engine/measuring/known-take.ts')
    const { findSamePerformance: findShared } = await import('../engine/measuring/same-performance.ts')
    const known = (one: NamedTake): Promise<KnownTake | null> =>
      knownTake(one, workingFolder, peaksFolder, () => onProgress(0))
    const first = await known(take)
    if (first === null) return []
    const rest: KnownTake[] = []
    for (const other of others) {
      const found = await known(other)
      if (found !== null) rest.push(found)
    }
    return findShared(first, take.phrases, rest, longestBits, onProgress)
  },
)

/** Runs `act`, then closes the sources that it has opened. */
async function withOpened<T>(act: (opened: (source: TakeSource) => TakeSource) => T): Promise<Awaited<T>> {
  const sources: TakeSource[] = []
  try {
    return await act((source) => {
      sources.push(source)
      return source
    })
  } finally {
    for (const source of sources) source.close()
  }
}

async function withSources<T>(
  sampleRateHz: number,
  act: (open: (path: string) => TakeSource) => T,
): Promise<Awaited<T>> {
  const { openAudioFile } = await import('../audio/open-audio-file.ts')
  const { createTakeSource } = await import('../engine/mixes/take-source.ts')
  return withOpened((opened) => act((path) => opened(createTakeSource(openAudioFile(path), sampleRateHz))))
}

/** As withSources, for the takes of a plan. */
async function withTakes<T>(
  { sampleRateHz }: RenderPlan,
  takePaths: TakePaths,
  act: (openTake: (layer: PlannedLayer) => TakeSource) => T,
): Promise<Awaited<T>> {
  const { openPlannedTake } = await import('./open-planned-take.ts')
  return withOpened((opened) => act((layer) => opened(openPlannedTake(layer, takePaths, sampleRateHz))))
}

export const bounceUnit = job<'bounceUnit'>(
  async ({ plan, unitIndex, stems, ceilingTrimDb, takePaths, span }, onProgress) => {
    const { unitsOf } = await import('../engine/rendering/render-unit.ts')
    const { bounceUnit: renderUnitToFiles } = await import('../engine/rendering/bounce-unit.ts')
    const { chainHelperFor } = await import('./start-chain-helper.ts')
    const unit = unitsOf(plan)[unitIndex]
    const startHelper = chainHelperFor(plan.frames, plan.sampleRateHz)
    return withTakes(plan, takePaths, (openTake) =>
      renderUnitToFiles(plan, unit, stems, ceilingTrimDb, openTake, onProgress, startHelper, span),
    )
  },
)

export const bounceStack = job<'bounceStack'>(
  async ({ plan, order, ceilingTrimsDb, takePaths, span }, onProgress) => {
    const { bounceStack: renderStackToFile } = await import('../engine/rendering/bounce-stack.ts')
    return withTakes(plan, takePaths, (openTake) =>
      renderStackToFile(plan, order, ceilingTrimsDb, openTake, onProgress, span),
    )
  },
)

export const passStack = job<'passStack'>(async ({ plan, takePaths, passed }, onProgress) => {
  const { passStack: passStackOf } = await import('../engine/measuring/measure-stack.ts')
  await withTakes(plan, takePaths, (openTake) => passStackOf(plan, openTake, passed, onProgress))
  return null
})

export const measureStack = job<'measureStack'>(
  async ({ plan, fromFrame, takePaths, passed }, onProgress) => {
    const { measureStack: measureStackOf } = await import('../engine/measuring/measure-stack.ts')
    return withTakes(plan, takePaths, (openTake) =>
      measureStackOf(plan, fromFrame, openTake, passed, onProgress),
    )
  },
)

export const checkStack = job<'checkStack'>(async ({ plan, range, takePaths, isAlone }, onProgress) => {
  const { checkStack: checkStackOf } = await import('../engine/measuring/check-stack.ts')
  const { chainHelperFor } = await import('./start-chain-helper.ts')
  const startHelper = isAlone ? null : chainHelperFor(plan.frames, plan.sampleRateHz)
  return withTakes(plan, takePaths, (openTake) =>
    checkStackOf(plan, range, openTake, onProgress, startHelper),
  )
})

export const measureChain = job<'measureChain'>(
  async ({ sound, sampleRateHz, stages, range, options, passed }, onProgress) => {
    const { measureJoints } = await import('../engine/measuring/measure-joints.ts')
    const measure = (source: TakeSource): JointsPart =>
      measureJoints(source, sampleRateHz, stages, range, onProgress, options, passed)
    if ('path' in sound) return withSources(sampleRateHz, (open) => measure(open(sound.path)))
    const { createGroupSource } = await import('../engine/measuring/group-source.ts')
    return withTakes(sound.plan, sound.takePaths, (openTake) =>
      measure(createGroupSource(sound.plan, sound.groupId, openTake)),
    )
  },
)

export const matchDrive = job<'matchDrive'>(async ({ path, sampleRateHz, before, drive }, onProgress) => {
  const { matchDriveOutput } = await import('../engine/measuring/match-drive.ts')
  return withSources(sampleRateHz, (open) =>
    matchDriveOutput(open(path), sampleRateHz, before, drive, onProgress),
  )
})

export const renderVoiceTake = job<'renderVoiceTake'>(async (take, onProgress) => {
  const { renderVoiceTake: renderVoiceToFile } = await import('../engine/rendering/render-voice-take.ts')
  const { ensureFolder } = await import('../files/ensure-folder.ts')
  ensureFolder(dirname(take.path))
  renderVoiceToFile(take, onProgress)
  return null
})
