// Where the benchmark runs and keeps its files: everything under .bench/ at the top of the tree.

import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

export const ROOT = fileURLToPath(new URL('../..', import.meta.url))

/** Paths from the top of the tree, as they stand in the command lines that are shown. */
export const MATERIAL = '.bench/material'
export const RESULTS = '.bench/results'

export const inRoot = (path: string): string => join(ROOT, path)

/** Empties a folder of results, so that a run never finds what an earlier one left. */
export function freshFolder(name: string): string {
  const folder = `${RESULTS}/${name}`
  rmSync(inRoot(folder), { recursive: true, force: true })
  mkdirSync(inRoot(folder), { recursive: true })
  return folder
}
