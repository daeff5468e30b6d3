// Runs an act with a workplace that is closed in any case.

import { existsSync } from 'node:fs'
import { resolve } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { checkCatalogue } from './catalogue-care.ts'
import { openWorkplace, type Workplace } from './workplace.ts'

/** @param catalogue path of the catalogue, which is created if it does not exist */
export async function withWorkplace<T>(
  catalogue: string,
  act: (workplace: Workplace) => Promise<T>,
): Promise<T> {
  const workplace = openWorkplace(catalogue)
  try {
    await checkCatalogue(workplace)
    return await act(workplace)
  } finally {
    await workplace.close()
  }
}

/**
 * As withWorkplace, for a catalogue that must exist, so that a mistyped name does not create a new one.
 * @throws Failure `not-found`
 */
export async function withExistingWorkplace<T>(
  catalogue: string,
  act: (workplace: Workplace) => Promise<T>,
): Promise<T> {
  const path = resolve(catalogue)
  if (!existsSync(path)) {
    throw new Failure('not-found', `There is no catalogue ${path}; check its name and folder.`, { path })
  }
  return withWorkplace(path, act)
}
