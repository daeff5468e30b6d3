// The default catalogue, in the user's data folder.

import { join } from 'node:path'
import envPaths from 'env-paths'

/** Absolute path; may not exist yet. */
export const homeCataloguePath = (): string =>
  join(envPaths('Takeloft', { suffix: '' }).data, 'catalogue.sqlite')
