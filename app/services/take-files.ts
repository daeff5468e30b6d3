// Where the bytes of a take are: found, checked against its hash, and readable by position.

import { existsSync } from 'node:fs'
import { dirname, isAbsolute, relative, resolve } from 'node:path'
import { readableTakePath } from '../audio/open-take-file.ts'
import { Failure } from '../contract/failure.ts'
import type { TakePaths } from '../workers/jobs.ts'
import type { Pool } from '../workers/pool.ts'

/** What is needed to find a take's file. */
export interface LocatedTake {
  readonly sha256: string
  readonly name: string
  /** Absolute, or relative to `root`. */
  readonly path: string
}

/** A path as it is kept: relative where the file lies under `root`, so that a folder can be moved as a whole. */
export function keptPath(root: string, path: string): string {
  const inside = relative(root, path)
  return inside.startsWith('..') || isAbsolute(inside) ? resolve(path) : inside.replaceAll('\\', '/')
}

/**
 * Absolute path of a take's file.
 * @throws Failure `vanished` when it is not there
 */
export function takeFilePath(root: string, take: LocatedTake): string {
  const path = resolve(root, take.path)
  if (!existsSync(path)) {
    throw new Failure(
      'vanished',
      `The file of the take ${take.name} is no longer at ${path}; put it back, or choose where it is now in Intake.`,
      { take: take.name, path },
    )
  }
  return path
}

/**
 * Where each take can be read by position; a compressed take is unpacked to a working copy first.
 * @throws Failure `vanished`, or what opening a take gives
 */
export async function readableTakes(
  root: string,
  takes: readonly LocatedTake[],
  workingFolder: string,
  signal: AbortSignal,
): Promise<TakePaths> {
  const paths: Record<string, string> = {}
  for (const take of takes) {
    paths[take.sha256] = await readableTakePath(takeFilePath(root, take), take.sha256, workingFolder, signal)
  }
  return paths
}

/** Takes whose bytes are not those of their hash any more, each with where it is. */
export async function changedTakes(
  pool: Pool,
  root: string,
  takes: readonly LocatedTake[],
  signal: AbortSignal,
): Promise<readonly LocatedTake[]> {
  const paths = takes.map((take) => takeFilePath(root, take))
  const hashes = await Promise.all(paths.map((path) => pool.run('hashFile', { path }, { signal })))
  return takes.filter((take, k) => hashes[k] !== take.sha256)
}

/** The folder that kept paths of a catalogue are relative to. */
export const catalogueRoot = (cataloguePath: string): string => dirname(cataloguePath)
