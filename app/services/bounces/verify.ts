// Verifies a bounce: renders the manifest's plan again and compares every stem byte for byte.

import { existsSync, realpathSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { hashFile } from '../../audio/sha256.ts'
import { type Manifest, parseManifest } from '../../contract/manifest.ts'
import { MAX_JSON_BYTES } from '../../contract/text/limits.ts'
import type { CallContext, Verification } from '../../contract/wire/commands.ts'
import { unitsOf } from '../../engine/rendering/render-unit.ts'
import { withScratchFolder } from '../../files/scratch-folder.ts'
import type { Pool } from '../../workers/pool.ts'
import { missingFailure } from '../takes/take-files.ts'
import { readJson, type SmallFileKind } from '../text-file.ts'
import { refuseOtherFormats, refuseOtherPlan } from './check-manifest.ts'
import { renderBounce } from './stem-orders.ts'
import { absentTakesOf, belongsTo, missingTakeReason, otherBytes } from './verification.ts'
import { watchTakes } from './watched-takes.ts'

/** A manifest as it is read from a file. */
export const MANIFEST_FILE_KIND: SmallFileKind = {
  name: 'manifest',
  wanted: 'the manifest.json of a bounce or a delivery',
  mostBytes: MAX_JSON_BYTES,
}

/** @throws Failure when there is no manifest at `path`, or it cannot be used */
export const readManifest = (path: string): Manifest =>
  parseManifest(readJson(path, MANIFEST_FILE_KIND), path)

/** Where else files with the bytes of a take were seen, as absolute paths. */
export type PlacesOf = (sha256: string) => readonly string[]

/**
 * Stems of a take whose bytes have changed are listed as differing, those of a missing one as unverified.
 * @param placesOf for takes that were moved since the bounce
 * @throws Failure when the manifest cannot be used, or missing takes leave no stem to verify
 */
export async function verifyBounce(
  pool: Pool,
  path: string,
  context: CallContext,
  placesOf: PlacesOf = () => [],
): Promise<Verification> {
  const manifestPath = resolve(path)
  const manifest = readManifest(manifestPath)
  refuseOtherPlan(manifest, manifestPath)
  return withScratchFolder((scratch) => renderAgain(pool, manifest, manifestPath, scratch, context, placesOf))
}

async function renderAgain(
  pool: Pool,
  manifest: Manifest,
  manifestPath: string,
  scratch: string,
  { signal, report }: CallContext,
  placesOf: PlacesOf,
): Promise<Verification> {
  report(0, 'Checking the takes')
  const folder = dirname(manifestPath)
  // If the folder is reached through a link, relative paths may start from the link or from its target.
  const takes = manifest.takes.map((take) => ({
    ...take,
    copies: [resolve(folder, take.path), ...placesOf(take.sha256)],
  }))
  const watched = await watchTakes(
    { pool, folders: { working: join(scratch, WORKING) } },
    realpathSync(folder),
    takes,
    signal,
  )
  refuseOtherFormats(manifest, watched.paths, manifestPath)
  const absent = new Map(watched.absent.map((one) => [one.take.sha256, one]))
  const differing: Verification['differing'] = []
  const unverified: Verification['unverified'] = []
  const same: string[] = []
  const sound = manifest.stems.filter((stem) => {
    const { missing, changed } = absentTakesOf(manifest.plan, stem, absent)
    if (missing !== undefined) {
      unverified.push({ stem: stem.file, reason: missingTakeReason(missing) })
    } else if (changed !== undefined) {
      differing.push({
        stem: stem.file,
        reason: `the take ${changed.take.name} has changed since the bounce`,
      })
    } else return true
    return false
  })
  if (unverified.length === manifest.stems.length) {
    throw missingFailure(
      watched.absent.filter(({ state }) => state === 'missing'),
      'Nothing was verified',
    )
  }
  if (sound.length > 0) {
    const unitStems = unitsOf(manifest.plan).map((unit) => sound.filter((stem) => belongsTo(unit, stem)))
    const again = await renderBounce(pool, manifest, unitStems, watched.paths, scratch, {
      signal,
      onProgress: (fraction) => report(fraction, 'Rendering the stems again'),
    })
    for (const stem of sound) {
      const reason = await differenceOf(
        join(folder, stem.file),
        stem.sha256,
        again.find((one) => one.file === stem.file)?.sha256,
        manifest.program,
        signal,
      )
      if (reason === null) same.push(stem.file)
      else differing.push({ stem: stem.file, reason })
    }
  }
  return { same, differing, unverified }
}

/** Folder of working copies. It cannot collide with a stem, whose name ends in .wav. */
const WORKING = 'working copies'

async function differenceOf(
  path: string,
  bouncedSha256: string,
  againSha256: string | undefined,
  bouncedBy: Manifest['program'],
  signal: AbortSignal,
): Promise<string | null> {
  if (!existsSync(path)) return 'the stem is missing'
  if ((await hashFile(path, signal)) !== bouncedSha256) return 'the stem has changed since the bounce'
  if (againSha256 !== bouncedSha256) return otherBytes(bouncedBy)
  return null
}
