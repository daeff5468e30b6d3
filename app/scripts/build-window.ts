// Builds the window when it has not been built since its sources changed.

import { existsSync, statSync } from 'node:fs'
import { glob } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Failure } from '../contract/failure.ts'
import { ensureFolder } from '../files/ensure-folder.ts'
import { createNewFolder, isFree, moveAside, type NewFolder } from '../files/new-folder.ts'
import { WINDOW_FOLDER } from '../services/window-files.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))

/** @throws Failure `not-found` when the window has to be built and cannot be */
export async function buildWindowIfNeeded(say: (message: string) => void): Promise<void> {
  const index = join(WINDOW_FOLDER, 'index.html')
  if (existsSync(index) && (await newestSource()) < statSync(index).mtimeMs) return
  say('Building the window …')
  try {
    const [{ build }, { rendererConfig }] = await Promise.all([
      import('vite'),
      import('../../electron.vite.config.ts'),
    ])
    ensureFolder(dirname(WINDOW_FOLDER))
    const fresh = createNewFolder(dirname(WINDOW_FOLDER), 0o777, 'own')
    const environment = process.env.NODE_ENV
    try {
      // The same window for every caller: a test's environment would give a different, slow build.
      process.env.NODE_ENV = 'production'
      await build({
        ...rendererConfig,
        build: { ...rendererConfig.build, outDir: fresh.path },
        configFile: false,
        logLevel: 'error',
      })
      putInPlace(fresh)
    } finally {
      if (environment === undefined) delete process.env.NODE_ENV
      else process.env.NODE_ENV = environment
      fresh.discard()
    }
  } catch (error) {
    throw new Failure(
      'not-found',
      `The window could not be built: ${error instanceof Error ? error.message : String(error)}. Run "npm ci" and try again.`,
      {},
      error,
    )
  }
}

/** Only renames folders, so that an open window, which loads from there, never finds half a build. */
function putInPlace(fresh: NewFolder): void {
  try {
    if (!isFree(WINDOW_FOLDER)) moveAside(WINDOW_FOLDER)
    fresh.commit(WINDOW_FOLDER)
  } catch (error) {
    // Another process was faster, with the same window.
    if (!existsSync(join(WINDOW_FOLDER, 'index.html'))) throw error
  }
}

async function newestSource(): Promise<number> {
  let newest = 0
  for await (const file of glob(
    [
      'renderer/**/*',
      'app/contract/**/*',
      'app/words/**/*',
      'app/dsp/**/*',
      'electron.vite.config.ts',
      'package-lock.json',
    ],
    { cwd: ROOT },
  )) {
    newest = Math.max(newest, statSync(join(ROOT, file)).mtimeMs)
  }
  return newest
}
