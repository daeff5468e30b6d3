// Renders the stems of a manifest into a folder, for a bounce and for its verification.

import { join } from 'node:path'
import { hashFile } from '../../audio/sha256.ts'
import { Failure } from '../../contract/failure.ts'
import type { Manifest, Stem } from '../../contract/manifest.ts'
import { removeInside } from '../../files/new-folder.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import type { Pool } from '../../workers/pool.ts'
import { broadcastOf, type StemToWrite } from './stem-orders.ts'

type Described = Pick<
  Manifest,
  'program' | 'artist' | 'song' | 'sessionDate' | 'timeReferenceSamples' | 'plan'
>

/** Cancellation, and progress from 0 to 1. */
export interface RenderOptions {
  readonly signal: AbortSignal
  readonly onProgress: (fraction: number) => void
}

/**
 * Renders every unit on the pool. A stem that would clip in 24 bits is written as 32-bit float, and a ceiling
 * that is exceeded between samples is lowered (engine/rendering/ceiling-trim.ts).
 * When this returns or throws, no thread is writing any more.
 * @param unitStems the stems of each unit of the plan; a unit without any is not rendered
 */
export async function renderStems(
  pool: Pool,
  described: Described,
  unitStems: readonly (readonly StemToWrite[])[],
  takePaths: TakePaths,
  /** An unfinished folder (createNewFolder). */
  folder: string,
  { signal: cancelling, onProgress }: RenderOptions,
): Promise<Stem[]> {
  const ending = new AbortController()
  const signal = AbortSignal.any([cancelling, ending.signal])
  const fractions = unitStems.map(() => 0)
  const renderUnit = async (stems: readonly StemToWrite[], unitIndex: number): Promise<Stem[]> => {
    if (stems.length === 0) return []
    const { ceilingTrimDb } = stems[0]
    const { stems: written, wantedTrimDb } = await pool.run(
      'bounceUnit',
      {
        plan: described.plan,
        unitIndex,
        takePaths,
        ceilingTrimDb,
        stems: stems.map((stem) => ({
          kind: stem.kind,
          sourceId: stem.sourceId,
          path: join(folder, stem.file),
          encoding: stem.encoding,
          ditherSeed: stem.ditherSeed,
          broadcast: broadcastOf(described, stem),
        })),
      },
      {
        signal,
        onProgress: (fraction) => {
          fractions[unitIndex] = fraction
          onProgress(fractions.reduce((sum, one) => sum + one, 0) / fractions.length)
        },
      },
    )
    const clips = written.some((stem) => stem.clippedSamples > 0)
    if (clips || wantedTrimDb > 0) {
      for (const stem of written) if (stem.clippedSamples === 0) removeInside(stem.path)
      return renderUnit(
        stems.map((stem, k) => ({
          ...(written[k].clippedSamples > 0 ? asFloat(stem) : stem),
          ceilingTrimDb: ceilingTrimDb ?? wantedTrimDb,
        })),
        unitIndex,
      )
    }
    return Promise.all(
      stems.map(async (stem, k) => ({
        ...stem,
        ceilingTrimDb: ceilingTrimDb ?? 0,
        sha256: await hashFile(join(folder, stem.file), signal),
        integratedLufs: written[k].integratedLufs,
        loudnessRangeLu: written[k].loudnessRangeLu,
        truePeakDbtp: written[k].truePeakDbtp,
        samplePeakDbfs: written[k].samplePeakDbfs,
      })),
    )
  }
  const units = unitStems.map((stems, unitIndex) =>
    renderUnit(stems, unitIndex).catch((error: unknown) => {
      // The stems are useless without this unit, so the other units stop.
      ending.abort()
      throw error
    }),
  )
  // Every thread has to end before the caller removes the folder.
  const ended = await Promise.allSettled(units)
  const failed = ended.filter((unit) => unit.status === 'rejected').map(({ reason }) => reason as unknown)
  if (failed.length > 0) throw failed.find((reason) => !isCancelled(reason)) ?? failed[0]
  return ended.flatMap((unit) => (unit.status === 'fulfilled' ? unit.value : []))
}

const isCancelled = (error: unknown): boolean => error instanceof Failure && error.code === 'cancelled'

const asFloat = (stem: StemToWrite): StemToWrite => ({
  ...stem,
  file: stem.file.replace(/24b\.wav$/, '32f.wav'),
  encoding: 'float-32',
  ditherSeed: null,
})
