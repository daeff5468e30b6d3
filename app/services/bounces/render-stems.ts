// Renders the stems of a plan into a folder, for bounces, deliveries and their verification.

import { join } from 'node:path'
import { hashFile } from '../../audio/sha256.ts'
import type { BroadcastInfo } from '../../audio/wave/broadcast.ts'
import type { DeliveryEncoding } from '../../contract/delivery/delivery-request.ts'
import { Failure } from '../../contract/failure.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import type { FileSpan, WrittenStem } from '../../engine/rendering/stem-output.ts'
import { removeInside } from '../../files/new-folder.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import type { Pool } from '../../workers/pool.ts'

/** A stem before it is rendered. */
export interface OrderedStem {
  readonly kind: 'group' | 'layer'
  readonly sourceId: number
  /** Relative to the folder. */
  readonly file: string
  readonly encoding: DeliveryEncoding
  readonly ditherSeed: number | null
  /** The same for all stems of a unit; null until it is determined. */
  readonly ceilingTrimDb: number | null
}

/** What stands in a file beside its sound. */
export interface StemMetadata {
  readonly broadcast: BroadcastInfo
  /** Chunks behind the sound; none if omitted. */
  readonly trailing?: Uint8Array | undefined
}

/** What is rendered, and where to. */
export interface Rendering<S extends OrderedStem> {
  readonly plan: RenderPlan
  readonly span: FileSpan
  readonly takePaths: TakePaths
  /** An unfinished folder (createNewFolder). */
  readonly folder: string
  metadataOf(stem: S): StemMetadata
  /** The same stem in a format that cannot clip. */
  asFloat(stem: S): S
}

/** A stem as it was rendered. */
export interface RenderedStem<S extends OrderedStem> extends WrittenStem {
  /** As ordered, or as float where it would have clipped. */
  readonly stem: S
  readonly ceilingTrimDb: number
  readonly sha256: string
}

/** Cancellation, and progress from 0 to 1. */
export interface RenderOptions {
  readonly signal: AbortSignal
  readonly onProgress: (fraction: number) => void
}

/**
 * Renders every unit on the pool. A stem that would clip is written as 32-bit float, and a ceiling
 * that is exceeded between samples is lowered (engine/rendering/ceiling-trim.ts).
 * When this returns or throws, no thread is writing any more.
 * @param unitStems the stems of each unit of the plan; a unit without any is not rendered
 * @returns the stems of each unit, in their order
 */
export async function renderStems<S extends OrderedStem>(
  pool: Pool,
  rendering: Rendering<S>,
  unitStems: readonly (readonly S[])[],
  { signal: cancelling, onProgress }: RenderOptions,
): Promise<RenderedStem<S>[][]> {
  const { plan, span, takePaths, folder } = rendering
  const ending = new AbortController()
  const signal = AbortSignal.any([cancelling, ending.signal])
  const fractions = unitStems.map(() => 0)
  const renderUnit = async (stems: readonly S[], unitIndex: number): Promise<RenderedStem<S>[]> => {
    if (stems.length === 0) return []
    const { ceilingTrimDb } = stems[0]
    const { stems: written, wantedTrimDb } = await pool.run(
      'bounceUnit',
      {
        plan,
        unitIndex,
        takePaths,
        span,
        ceilingTrimDb,
        stems: stems.map((stem) => ({
          kind: stem.kind,
          sourceId: stem.sourceId,
          path: join(folder, stem.file),
          encoding: stem.encoding,
          ditherSeed: stem.ditherSeed,
          ...rendering.metadataOf(stem),
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
          ...(written[k].clippedSamples > 0 ? rendering.asFloat(stem) : stem),
          ceilingTrimDb: ceilingTrimDb ?? wantedTrimDb,
        })),
        unitIndex,
      )
    }
    return Promise.all(
      stems.map(async (stem, k) => ({
        ...written[k],
        stem,
        ceilingTrimDb: ceilingTrimDb ?? 0,
        sha256: await hashFile(join(folder, stem.file), signal),
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
  return ended.map((unit) => (unit.status === 'fulfilled' ? unit.value : []))
}

const isCancelled = (error: unknown): boolean => error instanceof Failure && error.code === 'cancelled'
