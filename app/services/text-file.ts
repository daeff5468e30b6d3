// The text of a file that a call names.

import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { readFailure } from '../files/file-failures.ts'

/** @throws Failure as readFailure */
export function readText(path: string): string {
  try {
    return readFileSync(resolve(path), 'utf8')
  } catch (error) {
    throw readFailure(error, resolve(path))
  }
}
