// Finds the file of a take, or a copy of it, and makes it readable with random access.

import { dirname, isAbsolute, relative, resolve } from 'node:path'
import type { Catalogue } from '../../../db/catalogue.ts'
import { isFlac } from '../../audio/open-take-file.ts'
import { findWorkingCopy } from '../../audio/working-copy.ts'
import type { TakeAbsence } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { TakePaths } from '../../workers/jobs.ts'
import type { Pool } from '../../workers/pool.ts'
import type { VerifiedFiles } from './verified-files.ts'

/** What is needed to find a take's file. */
export interface LocatedTake {
  readonly sha256: string
  /** null or absent where it is not known. */
  readonly sizeBytes?: number | null
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

/** A take and the absolute path at which its bytes are: its own file, or a copy. */
export interface FoundTake<T extends LocatedTake = LocatedTake> {
  readonly take: T
  readonly path: string
}

/** A take whose bytes are nowhere they were seen. */
export interface AbsentTake<T extends LocatedTake = LocatedTake> {
  readonly take: T
  readonly state: TakeAbsence
  /** Absolute path at which the file was. */
  readonly path: string
}

/** Takes by whether their bytes are there; both in the order of the takes. */
export interface TakePlacesNow<T extends LocatedTake = LocatedTake> {
  readonly found: readonly FoundTake<T>[]
  readonly absent: readonly AbsentTake<T>[]
}

/** Every path at which a take's file or a copy of it was seen, absolute and in the order in which they are tried. */
export const placesOfTake = (root: string, { path, copies = [] }: LocatedTake): string[] =>
  [path, ...copies].map((one) => resolve(root, one))

/** For a hash: every path at which the catalogue has seen the take. */
export const placesIn =
  (catalogue: Catalogue) =>
  (sha256: string): string[] => {
    const take = catalogue.takes.findBySha256(sha256)
    return take === undefined ? [] : placesOfTake(catalogueRoot(catalogue.path), take)
  }

/** @param isBrief see VerifiedFiles */
export async function locateTakes<T extends LocatedTake>(
  verified: VerifiedFiles,
  root: string,
  takes: readonly T[],
  isBrief = false,
): Promise<TakePlacesNow<T>> {
  const located = await Promise.all(
    takes.map(async (take): Promise<FoundTake<T> | AbsentTake<T>> => {
      const [own, ...copies] = placesOfTake(root, take)
      const state = await verified.stateOf(own, take, isBrief)
      if (state === 'there') return { take, path: own }
      for (const path of copies) {
        if ((await verified.stateOf(path, take, isBrief)) === 'there') return { take, path }
      }
      return { take, state, path: own }
    }),
  )
  return {
    found: located.filter((one) => !('state' in one)),
    absent: located.filter((one) => 'state' in one),
  }
}

/**
 * The absolute path at which the bytes of a take are.
 * @throws Failure `vanished` or `changed` where they are nowhere they were seen
 */
export async function takeFilePath(
  verified: VerifiedFiles,
  root: string,
  take: LocatedTake,
): Promise<string> {
  const { found, absent } = await locateTakes(verified, root, [take])
  if (absent.length > 0) throw absentFailure(absent[0])
  return found[0].path
}

const FIND = 'find it in Intake with “Find missing takes”'

/** For one take: `vanished` where its file is not there, `changed` where another one is. */
export function absentFailure({ take: { name }, state, path }: AbsentTake): Failure {
  const sentence =
    state === 'changed'
      ? `What is at ${path} is not the take ${name}: it was replaced or written to; put the original back, or ${FIND}.`
      : `The file of the take ${name} is no longer at ${path}; put it back, or ${FIND}.`
  return new Failure(state === 'changed' ? 'changed' : 'vanished', sentence, { take: name, path })
}

/** Missing takes that a sentence names; more are counted. */
const MAX_NAMED = 5

/**
 * For an act that needs all of its takes: `vanished`, or `changed` where every file is there but another one.
 * @param outcome such as 'Nothing was bounced'
 */
export function missingFailure(absent: readonly AbsentTake[], outcome: string): Failure {
  const named = absent
    .slice(0, MAX_NAMED)
    .map(({ take: { name }, state, path }) =>
      state === 'changed' ? `${name} (what is at ${path} is not the take)` : `${name} (last at ${path})`,
    )
  const rest = absent.length - named.length
  const last = rest > 0 ? `${rest} more` : (named.pop() ?? '')
  const list = named.length === 0 ? last : `${named.join(', ')} and ${last}`
  const [are, them] = absent.length === 1 ? ['1 take is', 'it'] : [`${absent.length} takes are`, 'them']
  return new Failure(
    absent.every(({ state }) => state === 'changed') ? 'changed' : 'vanished',
    `${outcome}, because ${are} missing: ${list}. Put ${them} back, or find ${them} in Intake with “Find missing takes”.`,
    { take: absent[0]?.take.name ?? '', path: absent[0]?.path ?? '', missing: absent.length },
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
 * @throws Failure of opening or unpacking a take
 */
export async function readableTakes(
  { pool, folders }: TakeReading,
  takes: readonly FoundTake[],
  signal: AbortSignal,
): Promise<TakePaths> {
  const paths: Record<string, string> = {}
  await Promise.all(
    takes.map(async ({ take: { sha256 }, path }) => {
      paths[sha256] = isFlac(path)
        ? (findWorkingCopy(folders.working, sha256) ??
          (await pool.run('unpackTake', { path, sha256, workingFolder: folders.working }, { signal })))
        : path
    }),
  )
  return paths
}

/** As readableTakes for one take of the catalogue, of which only the bytes it was imported with are accepted. */
export async function readableTake(
  workplace: TakeReading & { readonly catalogue: { path: string }; readonly verifiedFiles: VerifiedFiles },
  take: LocatedTake,
  signal: AbortSignal,
): Promise<string> {
  const path = await takeFilePath(workplace.verifiedFiles, catalogueRoot(workplace.catalogue.path), take)
  return (await readableTakes(workplace, [{ take, path }], signal))[take.sha256]
}

/** The folder that the stored paths of a catalogue are relative to. */
export const catalogueRoot = (cataloguePath: string): string => dirname(cataloguePath)
