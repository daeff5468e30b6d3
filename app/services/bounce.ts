// Bouncing a session: stems and their manifest into a folder, all of it or nothing.

import { existsSync, mkdtempSync, readdirSync, readFileSync, renameSync, rmSync } from 'node:fs'
import { join, relative, resolve } from 'node:path'
import { hashFile } from '../audio/sha256.ts'
import type { BounceOutcome, CallContext, ParsedInputOf } from '../contract/commands.ts'
import type { SessionContents } from '../contract/entities.ts'
import { Failure } from '../contract/failure.ts'
import {
  MANIFEST_FORMAT,
  MANIFEST_FORMAT_VERSION,
  type Manifest,
  parseManifest,
} from '../contract/manifest.ts'
import { ensureFolder } from '../files/ensure-folder.ts'
import { writeFailure } from '../files/file-failures.ts'
import { writeFileSafely } from '../files/safe-write.ts'
import { planSession, readSessionContents } from './plan-session.ts'
import { PROGRAM } from './program.ts'
import { renderStems } from './render-stems.ts'
import { stemsOfPlan } from './stem-orders.ts'
import { catalogueRoot, changedTakes, keptPath, readableTakes, takeFilePath } from './take-files.ts'
import type { Workplace } from './workplace.ts'

export const MANIFEST_FILE = 'manifest.json'
/** Beginning of the name of the folder in which stems are rendered before they get their names. */
const UNFINISHED = '.unfinished-'
/** Share of the progress that checking the takes' hashes gets. */
const HASHING_SHARE = 0.05

export async function bounceSession(
  workplace: Workplace,
  { sessionId, folder, encoding, layerStems }: ParsedInputOf<'bounceSession'>,
  { signal, report }: CallContext,
): Promise<BounceOutcome> {
  const { catalogue, pool, folders, fitter, now, emit } = workplace
  const root = catalogueRoot(catalogue.path)
  const contents = readSessionContents(catalogue, sessionId)
  const { session } = contents
  const { plan, remarks } = planSession(catalogue, fitter, contents)
  if (plan.layers.length === 0) {
    throw new Failure(
      'empty',
      `${session.songTitle} has nothing to bounce: place a take in the stack, or unmute a layer.`,
    )
  }
  const used = new Set(plan.layers.map((layer) => layer.take.sha256))
  const takes = contents.takes.filter((take) => used.has(take.sha256))
  report(0, 'Checking the takes')
  const changed = await changedTakes(pool, root, takes, signal)
  if (changed.length > 0) {
    throw new Failure(
      'changed',
      `The file of the take ${changed[0].name} is not what it was when it was imported; put the original back, or import the new file as a take of its own.`,
      { take: changed[0].name, path: changed[0].path },
    )
  }
  const takePaths = await readableTakes(root, takes, folders.working, signal)

  const target = resolve(folder)
  const parts = preparePartsFolder(target, session.songTitle)
  try {
    const described = {
      artist: session.artistName,
      song: session.songTitle,
      sessionDate: session.date,
      timeReferenceSamples: session.startOfDayS * session.sampleRateHz + plan.startFrame,
      plan,
    }
    const stems = await renderStems(
      pool,
      described,
      stemsOfPlan(plan, session.songTitle, encoding, layerStems),
      takePaths,
      parts,
      {
        signal,
        onProgress: (fraction) =>
          report(HASHING_SHARE + (1 - HASHING_SHARE) * fraction, 'Rendering the stems'),
      },
    )
    const manifest: Manifest = {
      format: MANIFEST_FORMAT,
      version: MANIFEST_FORMAT_VERSION,
      program: PROGRAM,
      ...described,
      takes: takes.map((take) => ({
        sha256: take.sha256,
        name: take.name,
        // Relative, so that a folder with takes and bounces can be moved as a whole.
        path: relative(target, takeFilePath(root, take)).replaceAll('\\', '/'),
      })),
      chains: chainsUsed(contents),
      stems,
      remarks: [
        ...remarks,
        ...stems
          .filter((stem) => stem.encoding !== encoding)
          .map((stem) => `${stem.file} is 32-bit float, because it would have clipped in 24 bits.`),
        ...stems
          .filter((stem) => stem.kind === 'group' && stem.ceilingTrimDb > 0)
          .map(
            (stem) =>
              `${stem.file}: the ceiling was set ${stem.ceilingTrimDb} dB lower, because peaks between samples would have passed it.`,
          ),
      ],
    }
    for (const stem of stems) renameSync(join(parts, stem.file), join(target, stem.file))
    const manifestPath = join(target, MANIFEST_FILE)
    writeFileSafely(manifestPath, `${JSON.stringify(manifest, null, 2)}\n`)
    catalogue.bounces.insert(
      {
        sessionId,
        manifestPath: keptPath(root, manifestPath),
        manifestSha256: await hashFile(manifestPath),
        stems: stems.length,
      },
      now(),
    )
    emit('catalogueChanged', { subjects: ['ledger'] })
    return {
      manifest: manifestPath,
      stems: stems.map(
        ({
          name,
          channels,
          encoding,
          integratedLufs,
          loudnessRangeLu,
          truePeakDbtp,
          samplePeakDbfs,
          file,
        }) => ({
          ...{ name, channels, encoding, integratedLufs, loudnessRangeLu, truePeakDbtp, samplePeakDbfs },
          path: join(target, file),
        }),
      ),
      remarks: manifest.remarks,
    }
  } finally {
    rmSync(parts, { recursive: true, force: true })
  }
}

/** Makes the folder and a place in it for stems that are not finished. */
function preparePartsFolder(target: string, song: string): string {
  const manifestPath = join(target, MANIFEST_FILE)
  if (existsSync(manifestPath)) {
    const there = parseManifest(JSON.parse(readFileSync(manifestPath, 'utf8')), manifestPath)
    if (there.song !== song) {
      throw new Failure(
        'conflict',
        `${target} already holds the stems of ${there.song}; choose another folder for ${song}.`,
        { folder: target },
      )
    }
  }
  try {
    ensureFolder(target)
    // What a bounce that was killed has left.
    for (const name of readdirSync(target)) {
      if (name.startsWith(UNFINISHED)) rmSync(join(target, name), { recursive: true, force: true })
    }
    return mkdtempSync(join(target, UNFINISHED))
  } catch (error) {
    throw writeFailure(error, target)
  }
}

function chainsUsed({ session, groups, chainVersions }: SessionContents): Manifest['chains'] {
  const used =
    session.chainSharing === 'shared'
      ? [{ groupId: null, versionId: session.sharedChainVersionId }]
      : groups.map((group) => ({ groupId: group.id, versionId: group.chainVersionId }))
  return used.flatMap(({ groupId, versionId }) => {
    const version = chainVersions.find((one) => one.id === versionId)
    if (version === undefined) return []
    return [
      {
        groupId,
        chainVersionId: version.id,
        name: version.chainName,
        number: version.number,
        sha256: version.sha256,
      },
    ]
  })
}
