// Renders the sound of a delivery: stems, takes at their places, and the reference; also for its verification.

import { statSync } from 'node:fs'
import { join } from 'node:path'
import { hashFile } from '../../audio/sha256.ts'
import type { RenderedFile } from '../../contract/delivery/delivery-manifest.ts'
import { unitsOf } from '../../engine/rendering/render-unit.ts'
import { removeInside } from '../../files/new-folder.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import type { Pool } from '../../workers/pool.ts'
import { type RenderedStem, renderStems } from '../bounces/render-stems.ts'
import {
  asFloat,
  type DeliveredStem,
  type DescribedDelivery,
  fileSpanOf,
  metadataOf,
} from './delivered-stem.ts'
import { type DeliveryOrders, unprocessedPlan } from './delivery-orders.ts'
import type { Parts } from './delivery-parts.ts'

/** All rendered files, with the trims of the ceilings that they share. */
export interface RenderedDelivery {
  readonly files: readonly RenderedFile[]
  /** Of each unit of the plan. */
  readonly ceilingTrimsDb: readonly number[]
}

/**
 * Renders into an unfinished folder that has the folders of the files.
 * When this returns or throws, no thread is writing any more.
 * @throws Failure of rendering or writing, and 'cancelled'
 */
export async function renderDelivery(
  pool: Pool,
  described: DescribedDelivery,
  orders: DeliveryOrders,
  takePaths: TakePaths,
  folder: string,
  signal: AbortSignal,
  parts: Parts,
): Promise<RenderedDelivery> {
  const { plan } = described
  const rendering = {
    ...{ takePaths, folder, asFloat },
    span: fileSpanOf(described),
    metadataOf: (stem: DeliveredStem) => metadataOf(described, stem),
  }
  const processed = await renderStems(pool, { ...rendering, plan }, orders.processed, {
    signal,
    onProgress: parts.progressOf('stems', 'Rendering the stems'),
  })
  const aligned = await renderStems(pool, { ...rendering, plan: unprocessedPlan(plan) }, orders.aligned, {
    signal,
    onProgress: parts.progressOf('aligned', 'Placing the takes'),
  })
  // A unit without stems was not rendered, so its trim is that of the order, or is still to be measured.
  const trims = unitsOf(plan).map(
    (_, k) => processed[k]?.[0]?.ceilingTrimDb ?? orders.ceilingTrimsDb?.[k] ?? null,
  )
  const reference =
    orders.reference === null
      ? null
      : await renderReference(pool, described, orders.reference, trims, takePaths, folder, {
          signal,
          onProgress: parts.progressOf('reference', 'Rendering the reference'),
        })
  const stems = [...processed.flat(), ...aligned.flat(), ...(reference === null ? [] : [reference.file])]
  return {
    files: stems.map((stem) => fileOf(stem, folder)),
    ceilingTrimsDb: trims.map((trimDb, k) => trimDb ?? reference?.trimsDb[k] ?? 0),
  }
}

/** Renders the stack again where it would clip, or where a ceiling has to be lowered. */
async function renderReference(
  pool: Pool,
  described: DescribedDelivery,
  stem: DeliveredStem,
  ceilingTrimsDb: readonly (number | null)[],
  takePaths: TakePaths,
  folder: string,
  options: { readonly signal: AbortSignal; readonly onProgress: (fraction: number) => void },
): Promise<{ readonly file: RenderedStem<DeliveredStem>; readonly trimsDb: readonly number[] }> {
  const path = join(folder, stem.file)
  const { plan } = described
  const { stem: written, wantedTrimsDb } = await pool.run(
    'bounceStack',
    {
      ...{ plan, ceilingTrimsDb, takePaths },
      span: fileSpanOf(described),
      order: { path, encoding: stem.encoding, ditherSeed: stem.ditherSeed, ...metadataOf(described, stem) },
    },
    options,
  )
  const trimsDb = ceilingTrimsDb.map((trimDb, k) => trimDb ?? wantedTrimsDb[k] ?? 0)
  const clips = written.clippedSamples > 0
  if (clips || wantedTrimsDb.some((trimDb) => trimDb > 0)) {
    if (!clips) removeInside(path)
    return renderReference(pool, described, clips ? asFloat(stem) : stem, trimsDb, takePaths, folder, options)
  }
  return {
    file: { ...written, stem, ceilingTrimDb: 0, sha256: await hashFile(path, options.signal) },
    trimsDb,
  }
}

function fileOf(rendered: RenderedStem<DeliveredStem>, folder: string): RenderedFile {
  const { stem, sha256 } = rendered
  return {
    path: stem.file,
    bytes: statSync(join(folder, stem.file)).size,
    sha256,
    kind: stem.delivered,
    name: stem.name,
    sourceId: stem.delivered === 'reference' ? null : stem.sourceId,
    channels: rendered.channels,
    frames: rendered.frames,
    encoding: stem.encoding,
    ditherSeed: stem.ditherSeed,
    originatorReference: stem.originatorReference,
    integratedLufs: rendered.integratedLufs,
    loudnessRangeLu: rendered.loudnessRangeLu,
    truePeakDbtp: rendered.truePeakDbtp,
    samplePeakDbfs: rendered.samplePeakDbfs,
  }
}
