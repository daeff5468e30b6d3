// The outside tools that the benchmark compares with, and what they say they are.

import { spawnSync } from 'node:child_process'

/** Where Debian has the browser that the window is measured in. */
export const CHROMIUM = '/usr/bin/chromium'

export const haveProgram = (name: string): boolean => spawnSync(name, ['--version']).error === undefined

/** First line of what a program says of its version; null where it is not installed. */
export function versionOf(name: string, flag: string): string | null {
  const { error, stdout } = spawnSync(name, [flag], { encoding: 'utf8' })
  return error === undefined ? stdout.split('\n')[0].trim() : null
}
