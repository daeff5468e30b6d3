// Whether an outside tool that a test compares against is on this machine. On a
// developer's machine its absence skips the test loudly; in continuous
// integration it fails, so that a check cannot quietly stop being made.

import { accessSync, constants, statSync } from 'node:fs'
import { delimiter, join } from 'node:path'

/** Begins the line that says what is missing; the runner gathers these lines for its last word. */
export const SKIPPED_MARK = '!!! SKIPPED:'

/**
 * Whether the program `name` can be run from PATH.
 * Use as `describe.skipIf(!hasTool('ffmpeg'))`.
 * @throws Error when CI=true and the tool is missing
 */
export function hasTool(name: string): boolean {
  const found = (process.env.PATH ?? '').split(delimiter).some((folder) => isProgram(join(folder, name)))
  if (!found) reportMissing(`the tool "${name}" is not on PATH`)
  return found
}

/**
 * Whether every file or folder in `paths` exists (material that a package installs).
 * @throws Error when CI=true and one is missing
 */
export function haveMaterial(...paths: readonly string[]): boolean {
  const missing = paths.find((path) => statSync(path, { throwIfNoEntry: false }) === undefined)
  if (missing !== undefined) reportMissing(`the test material "${missing}" is not installed`)
  return missing === undefined
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK)
    return statSync(path).isFile()
  } catch {
    return false
  }
}

function reportMissing(what: string): void {
  if (process.env.CI === 'true') throw new Error(`${what}, and CI=true asks for every check to be made`)
  console.warn(`\n${SKIPPED_MARK} ${what}; the tests that compare against it are not run !!!\n`)
}
