// A catalogue in a folder of its own, closed when the test is over, and the Failure that an act ends in.

import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import { Failure } from '../../app/contract/failure.ts'
import { type Catalogue, openCatalogue } from '../../db/catalogue.ts'
import { temporaryFolder } from './temporary-folder.ts'

export function openForTest(path = join(temporaryFolder(), 'catalogue.takeloft')): Catalogue {
  const catalogue = openCatalogue(path)
  onTestFinished(() => catalogue.close())
  return catalogue
}

/** The Failure that `act` ends in; anything else is an error of the test. */
export function failureOf(act: () => unknown): Failure {
  try {
    act()
  } catch (error) {
    if (error instanceof Failure) return error
    throw error
  }
  throw new Error('The act was done, and should have failed')
}
