// Verifies a delivery: every file against its hash, and every rendered one by rendering it again. Also the door for the
// manifests of bounces.

import { existsSync, readdirSync, realpathSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import { hashFile } from '../../audio/sha256.ts'
import {
  type DeliveredFile,
  type DeliveryManifest,
  isDeliveryManifest,
  parseDeliveryManifest,
  type RenderedFile,
} from '../../contract/delivery/delivery-manifest.ts'
import { Failure } from '../../contract/failure.ts'
import type { CallContext, Verification } from '../../contract/wire/commands.ts'
import { unitsOf } from '../../engine/rendering/render-unit.ts'
import { createNewFolder } from '../../files/new-folder.ts'
import { withScratchFolder } from '../../files/scratch-folder.ts'
import type { Pool } from '../../workers/pool.ts'
import { refuseUnfitTakes } from '../bounces/check-manifest.ts'
import { absentTakesOf, belongsTo, missingTakeReason, otherBytes } from '../bounces/verification.ts'
import { MANIFEST_FILE_KIND, type PlacesOf, verifyBounce } from '../bounces/verify.ts'
import { watchTakes } from '../bounces/watched-takes.ts'
import { spanOfLayers } from '../sessions/plan-session.ts'
import { refuseUnconvertible } from '../takes/session-rate.ts'
import { readJson } from '../text-file.ts'
import type { DeliveredStem } from './delivered-stem.ts'
import { FOLDERS } from './delivery-names.ts'
import { type DeliveryOrders, unprocessedPlan } from './delivery-orders.ts'
import { createParts } from './delivery-parts.ts'
import { hashList, hashOfText } from './documents-inside.ts'
import { DOCUMENT_PATHS } from './plan-delivery.ts'
import { renderDelivery } from './render-delivery.ts'

/**
 * Verifies the manifest of a bounce or a delivery.
 * @param placesOf where else files with the bytes of a take were seen
 * @throws Failure when the manifest cannot be used, or missing takes leave nothing to verify
 */
export async function verifyManifest(
  pool: Pool,
  path: string,
  context: CallContext,
  placesOf: PlacesOf = () => [],
): Promise<Verification> {
  const manifestPath = resolve(path)
  const value = readJson(manifestPath, MANIFEST_FILE_KIND)
  if (!isDeliveryManifest(value)) return verifyBounce(pool, path, context, placesOf)
  const manifest = parseDeliveryManifest(value, manifestPath)
  refuseOtherPlan(manifest, manifestPath)
  return withScratchFolder((scratch) => verifyFiles(pool, manifest, manifestPath, scratch, context, placesOf))
}

/** A manifest edited by hand may contradict itself. */
function refuseOtherPlan({ plan, span, sampleRateHz }: DeliveryManifest, where: string): void {
  refuseUnfitTakes(plan, where)
  refuseUnconvertible('The stack', plan.sampleRateHz, sampleRateHz)
  const layers = spanOfLayers(plan.layers, plan.sampleRateHz)
  const endOf = (one: { startFrame: number; frames: number }): number => one.startFrame + one.frames
  const isWhole = plan.startFrame <= layers.startFrame && endOf(plan) === endOf(layers)
  if (isWhole && span.startFrame >= plan.startFrame && endOf(span) <= endOf(plan)) return
  throw new Failure(
    'invalid-input',
    `${where} cannot be used as a manifest: its plan, its layers and its span do not fit together; restore the original manifest.`,
    { where },
  )
}

async function verifyFiles(
  pool: Pool,
  manifest: DeliveryManifest,
  manifestPath: string,
  scratch: string,
  { signal, report }: CallContext,
  placesOf: PlacesOf,
): Promise<Verification> {
  const folder = dirname(manifestPath)
  report(0, 'Checking the files')
  const differing: Verification['differing'] = []
  const unverified: Verification['unverified'] = []
  const same: string[] = []
  const differ = (stem: string, reason: string): void => void differing.push({ stem, reason })
  const sound: DeliveredFile[] = []
  for (const file of manifest.files) {
    const path = join(folder, file.path)
    if (!existsSync(path)) differ(file.path, 'the file is missing')
    else if ((await hashFile(path, signal)) !== file.sha256)
      differ(file.path, 'the file has changed since the delivery')
    else sound.push(file)
  }
  for (const path of unlistedIn(folder, manifest)) differ(path, 'the file was added after the delivery')
  await checkHashList(folder, manifest, manifestPath, signal, differ)

  const rendered = sound.filter((file): file is RenderedFile => 'encoding' in file)
  same.push(...sound.filter((file) => !('encoding' in file)).map(({ path }) => path))
  report(0.02, 'Checking the takes')
  const raw = manifest.files.filter(({ kind }) => kind === 'raw')
  const takes = manifest.takes.map((take) => ({
    ...take,
    // The takes in the delivery are the likeliest to be there on another computer.
    copies: [
      ...raw.filter(({ sha256 }) => sha256 === take.sha256).map(({ path }) => join(folder, path)),
      resolve(folder, take.path),
      ...placesOf(take.sha256),
    ],
  }))
  const watched = await watchTakes(
    { pool, folders: { working: join(scratch, WORKING) } },
    realpathSync(folder),
    takes,
    signal,
  )
  const absent = new Map(watched.absent.map((one) => [one.take.sha256, one]))
  const again = rendered.filter((file) => {
    const { missing, changed } = absentTakesOf(manifest.plan, file, absent)
    if (missing !== undefined) unverified.push({ stem: file.path, reason: missingTakeReason(missing) })
    else if (changed !== undefined)
      differ(file.path, `the take ${changed.take.name} has changed since the delivery`)
    return missing === undefined && changed === undefined
  })
  if (again.length > 0) {
    const files = await renderAgain(pool, manifest, again, watched.paths, scratch, signal, report)
    for (const file of again) {
      const isSame = files.find(({ path }) => path === file.path)?.sha256 === file.sha256
      if (isSame) same.push(file.path)
      else differ(file.path, otherBytes(manifest.program))
    }
  }
  const order = new Map(manifest.files.map(({ path }, k) => [path, k]))
  return { same: same.sort((a, b) => order.get(a)! - order.get(b)!), differing, unverified }
}

/** Folder of working copies, beside that of the files. */
const WORKING = 'working copies'

async function renderAgain(
  pool: Pool,
  manifest: DeliveryManifest,
  files: readonly RenderedFile[],
  takePaths: Readonly<Record<string, string>>,
  scratch: string,
  signal: AbortSignal,
  report: CallContext['report'],
): Promise<readonly RenderedFile[]> {
  const folder = createNewFolder(scratch, undefined, 'own')
  for (const name of Object.values(FOLDERS)) folder.makeFolder(name)
  const units = unitsOf(manifest.plan)
  const stemsOf = (kinds: readonly RenderedFile['kind'][], inUnits: typeof units): DeliveredStem[][] =>
    inUnits.map((unit, k) =>
      files
        .filter((file) => kinds.includes(file.kind) && belongsTo(unit, file))
        .map((file) => stemOf(file, kinds.includes('aligned') ? 0 : (manifest.ceilingTrimsDb[k] ?? 0))),
    )
  const reference = files.find(({ kind }) => kind === 'reference')
  const orders: DeliveryOrders = {
    processed: stemsOf(['group', 'layer'], units),
    aligned: stemsOf(['aligned'], unitsOf(unprocessedPlan(manifest.plan))),
    reference: reference === undefined ? null : stemOf(reference, 0),
    ceilingTrimsDb: manifest.ceilingTrimsDb,
  }
  const parts = createParts((fraction) => report(fraction, 'Rendering again'), {
    takes: 0,
    ...{ stems: 6, aligned: 2, reference: reference === undefined ? 0 : 5 },
  })
  return (await renderDelivery(pool, manifest, orders, takePaths, folder.path, signal, parts)).files
}

const stemOf = (file: RenderedFile, ceilingTrimDb: number): DeliveredStem => ({
  kind: file.kind === 'group' || file.kind === 'reference' ? 'group' : 'layer',
  sourceId: file.sourceId ?? 0,
  delivered: file.kind,
  ...{ name: file.name, channels: file.channels, encoding: file.encoding },
  ...{ file: file.path, floatFile: file.path, ditherSeed: file.ditherSeed, ceilingTrimDb },
  originatorReference: file.originatorReference,
})

/** Files in the folder that the manifest does not list; a hash list alone does not notice them. */
function unlistedIn(folder: string, { files }: DeliveryManifest): string[] {
  const listed = new Set<string>([
    ...files.map(({ path }) => path),
    DOCUMENT_PATHS.manifest,
    DOCUMENT_PATHS.hashes,
  ])
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => !entry.isDirectory())
    .map((entry) => relative(folder, join(entry.parentPath, entry.name)).replaceAll('\\', '/'))
    .filter((path) => !listed.has(path))
    .sort()
}

/** The hash list must say of every file what the manifest says. */
async function checkHashList(
  folder: string,
  { files }: DeliveryManifest,
  manifestPath: string,
  signal: AbortSignal,
  differ: (stem: string, reason: string) => void,
): Promise<void> {
  const path = join(folder, DOCUMENT_PATHS.hashes)
  if (!existsSync(path)) {
    differ(DOCUMENT_PATHS.hashes, 'the file is missing')
    return
  }
  const manifest = { path: DOCUMENT_PATHS.manifest, sha256: await hashFile(manifestPath, signal) }
  if ((await hashFile(path, signal)) === hashOfText(hashList([...files, manifest]))) return
  differ(DOCUMENT_PATHS.hashes, 'it lists other hashes than the manifest, or the manifest has changed')
}
