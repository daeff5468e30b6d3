// Finds the file of a take, or a copy of it, and makes it readable with random access.

import { existsSync } from 'node:fs'
import { dirname, isAbsolute, relative, resolve } from 'node:path'
import { isFlac } from '../../audio/open-take-file.ts'
import { findWorkingCopy } from '../../audio/working-copy.ts'
import { Failure } from '../../contract/failure.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import type { Pool } from '../../workers/pool.ts'

/** What is needed to find a take's file. */
export interface LocatedTake {
  readonly sha256: string
  readonly name: string
  /** Absolute, or relative to `root`. */
  readonly path: string
  /** Other paths at which files with the same bytes were seen. */
  readonly copies?: readonly string[]
}

/** A path as stored: relative if the file is under `root`, so that the folder can be moved as a whole. */
export function keptPath(root: string, path: string): string {
  const inside = relative(root, path)
  return inside.startsWith('..') || isAbsolute(inside) ? resolve(path) : inside.replaceAll('\\', '/')
}

/**
 * Absolute path of a take's file, or of a copy if the file itself is missing.
 * @throws Failure `vanished` when there is no copy either
 */
export function takeFilePath(root: string, take: LocatedTake): string {
  const found = placeOfTake(root, take)
  if (found !== undefined) return found
  throw vanishedFailure(take, resolve(root, take.path))
}

/** As takeFilePath, but undefined when there is no copy either. */
export const placeOfTake = (root: string, { path, copies = [] }: LocatedTake): string | undefined =>
  [path, ...copies].map((one) => resolve(root, one)).find((one) => existsSync(one))

/** `vanished`, for a take whose file is not at `path` any more. */
export const vanishedFailure = (take: LocatedTake, path: string): Failure =>
  new Failure(
    'vanished',
    `The file of the take ${take.name} is no longer at ${path}; put it back, or find it in Intake with “Find missing takes”.`,
    { take: take.name, path },
  )

/** Missing takes that a sentence names; more are counted. */
const MAX_NAMED = 5

/** `vanished`, for an act that needs all of its takes. @param outcome such as 'Nothing was bounced' */
export function missingFailure(root: string, missing: readonly LocatedTake[], outcome: string): Failure {
  const named = missing
    .slice(0, MAX_NAMED)
    .map(({ name, path }) => `${name} (last at ${resolve(root, path)})`)
  const rest = missing.length - named.length
  const last = rest > 0 ? `${rest} more` : (named.pop() ?? '')
  const list = named.length === 0 ? last : `${named.join(', ')} and ${last}`
  const [are, them] = missing.length === 1 ? ['1 take is', 'it'] : [`${missing.length} takes are`, 'them']
  return new Failure(
    'vanished',
    `${outcome}, because ${are} missing: ${list}. Put ${them} back, or find ${them} in Intake with “Find missing takes”.`,
    { take: missing[0]?.name ?? '', path: resolve(root, missing[0]?.path ?? ''), missing: missing.length },
  )
}

/** The parts of a workplace that reading takes needs. */
export interface TakeReading {
  readonly pool: Pool
  readonly folders: { readonly working: string }
}

/**
 * Paths at which the takes can be read with random access; a compressed take is unpacked to a working copy
 * first.
 * @throws Failure `vanished`, and the failures of unpacking a take
 */
export async function readableTakes(
  { pool, folders }: TakeReading,
  root: string,
  takes: readonly LocatedTake[],
  signal: AbortSignal,
): Promise<TakePaths> {
  const paths: Record<string, string> = {}
  await Promise.all(
    takes.map(async (take) => {
      const path = takeFilePath(root, take)
      paths[take.sha256] = isFlac(path)
        ? (findWorkingCopy(folders.working, take.sha256) ??
          (await pool.run(
            'unpackTake',
            { path, sha256: take.sha256, workingFolder: folders.working },
            { signal },
          )))
        : path
    }),
  )
  return paths
}

/** The folder that the stored paths of a catalogue are relative to. */
export const catalogueRoot = (cataloguePath: string): string => dirname(cataloguePath)
