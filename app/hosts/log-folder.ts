// Where the system keeps the logs of programs.

import envPaths from 'env-paths'

export const logFolder = (): string => envPaths('Takeloft', { suffix: '' }).log
