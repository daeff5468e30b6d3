// Parses the arguments of `npm start --`.

import { resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { Failure } from '../contract/failure.ts'
import { homeCataloguePath } from './home-catalogue.ts'
import { portNumberOf } from './port-number.ts'

/** Parsed arguments of `npm start`. */
export interface StartOptions {
  readonly isBrowserWanted: boolean
  /** Absolute path. */
  readonly catalogue: string
  /** Port of the loopback host; 0 for any free one. */
  readonly port: number
}

/**
 * @param from base folder for relative paths
 * @throws Failure 'invalid-input' when the arguments cannot be used
 */
export function startOptionsOf(words: readonly string[], from: string): StartOptions {
  const { browser, catalogue, port } = valuesOf(words)
  if (catalogue === '') throw new Failure('invalid-input', '--catalogue needs a file path; give one.')
  return {
    isBrowserWanted: browser,
    catalogue: catalogue === undefined ? homeCataloguePath() : resolve(from, catalogue),
    port: portNumberOf(port),
  }
}

function valuesOf(words: readonly string[]) {
  try {
    return parseArgs({
      args: [...words],
      options: {
        browser: { type: 'boolean', default: false },
        catalogue: { type: 'string' },
        port: { type: 'string', default: '0' },
      },
    }).values
  } catch (error) {
    const [, unusable = 'That'] = /'([^' ]*)/.exec(error instanceof Error ? error.message : '') ?? []
    throw new Failure(
      'invalid-input',
      `${unusable} cannot be used this way; npm start takes --browser, --catalogue FILE and --port NUMBER after "--".`,
      {},
      error,
    )
  }
}
