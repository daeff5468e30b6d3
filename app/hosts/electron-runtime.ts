// Finds Electron's runtime, and downloads it with the script of the electron package when it is missing.

import { existsSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { runProgram } from './run-program.ts'

/** Long enough for about 120 MB over a slow connection. */
const MAX_FETCH_MS = 10 * 60_000

/** Folder of the electron package; null when it is not installed. */
function packageFolder(): string | null {
  try {
    return dirname(createRequire(import.meta.url).resolve('electron/package.json'))
  } catch {
    return null
  }
}

/** Path of the program, which the package writes to path.txt; null when it is missing. */
function installedProgram(folder: string): string | null {
  const note = join(folder, 'path.txt')
  if (!existsSync(note)) return null
  const program = join(
    process.env.ELECTRON_OVERRIDE_DIST_PATH || join(folder, 'dist'),
    readFileSync(note, 'utf8').trim(),
  )
  return existsSync(program) ? program : null
}

/**
 * Downloads the runtime when it is missing.
 * @param say receives progress messages
 * @returns path of the program, or the reason why there is none, worded to end a sentence
 * @throws Failure 'cancelled' when the user stops the download
 */
export async function electronProgram(
  say: (message: string) => void,
): Promise<{ readonly program: string } | { readonly why: string }> {
  const folder = packageFolder()
  if (folder === null) return { why: 'its package is not installed' }
  const there = installedProgram(folder)
  if (there !== null) return { program: there }
  say('Fetching Electron’s runtime (about 120 MB); Ctrl+C stops it, npm run start:browser does without …')
  const { status, signal, lastWords, wasTold } = await runProgram(
    process.execPath,
    [join(folder, 'install.js')],
    {
      cwd: folder,
      timeout: MAX_FETCH_MS,
    },
  )
  if (wasTold) throw new Failure('cancelled', 'Stopped; Electron’s runtime was not fetched.')
  const fetched = installedProgram(folder)
  if (status === 0 && fetched !== null) return { program: fetched }
  const reason = signal === null ? lastWords : 'it took too long'
  return {
    why: `its runtime is not installed and could not be fetched${reason === '' ? '' : ` (${reason})`}`,
  }
}
