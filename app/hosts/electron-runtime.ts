// Electron's runtime: the program itself, which its package fetches from the network when it is asked to.

import { existsSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { runProgram } from './run-program.ts'

/** A download of about 120 MB over a slow line; a line that is dead is not waited for all day. */
const LONGEST_FETCH_MS = 10 * 60_000

/** Where its package is; null where that is not installed. */
function packageFolder(): string | null {
  try {
    return dirname(createRequire(import.meta.url).resolve('electron/package.json'))
  } catch {
    return null
  }
}

/** Path of the program, as the package notes it once it is there; null where it is not. */
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
 * Fetches the runtime where it is not there.
 * @param say hears what is being done
 * @returns path of the program, or why there is none, as the end of a sentence
 * @throws Failure 'cancelled' where the user stops it
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
      timeout: LONGEST_FETCH_MS,
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
