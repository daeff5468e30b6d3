// The platform's folder for the program's logs.

import envPaths from 'env-paths'

/** Absolute path; may not exist yet. */
export const logFolder = (): string => envPaths('Takeloft', { suffix: '' }).log
