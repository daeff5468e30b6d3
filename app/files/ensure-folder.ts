// Makes a folder and those above it, or says why there can be none. Step by step, because
// Node's own recursive mkdir never returns on a file system that answers ENOENT below a folder that is there.

import { existsSync, mkdirSync, statSync } from 'node:fs'
import { dirname } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { writeFailure } from './file-failures.ts'

/** @throws Failure as writeFailure; `not-writable` where a file has that name or the system makes no folders */
export function ensureFolder(path: string): void {
  const above = dirname(path)
  try {
    if (statSync(path, { throwIfNoEntry: false })?.isDirectory()) return
    if (above !== path && !existsSync(above)) ensureFolder(above)
    mkdirSync(path)
  } catch (error) {
    // Another process may have made it in the meantime.
    if (statSync(path, { throwIfNoEntry: false })?.isDirectory()) return
    throw refusalOf(error, path, above)
  }
}

function refusalOf(error: unknown, path: string, above: string): Failure {
  const failure = writeFailure(error, path)
  if (error instanceof Failure) return failure
  const refuse = (sentence: string): Failure => new Failure('not-writable', sentence, failure.details, error)
  if (existsSync(path)) return refuse(`${path} is a file, not a folder; choose a folder.`)
  return failure.details.systemError === 'ENOENT' && existsSync(above)
    ? refuse(`No folder can be made in ${above}; choose another.`)
    : failure
}
