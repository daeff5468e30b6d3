// The platform's folder for the program's logs.

import envPaths from 'env-paths'

export const logFolder = (): string => envPaths('Takeloft', { suffix: '' }).log
