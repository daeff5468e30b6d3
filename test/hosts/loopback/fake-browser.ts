// A "browser" for the system's opener to start: it writes down what it was started with, and the words of
// all processes at that moment, which every user of the machine can read.

import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { delimiter, dirname, join } from 'node:path'
import { onTestFinished, vi } from 'vitest'

export interface FakeBrowser {
  /** What it was asked to open. */
  readonly opened: string
  /** The words of every process while it was asked. */
  readonly words: string
}

/**
 * Puts it first on PATH for the length of a test, as what a system without a desktop opens files with.
 * @param defaultBrowser desktop entry that the system names as the browser
 * @returns waits until it has been started
 */
export function standInForBrowser(defaultBrowser = ''): () => Promise<FakeBrowser> {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-browser-'))
  const at = (name: string): string => join(folder, name)
  onTestFinished(() => {
    vi.unstubAllEnvs()
    // A worker of the tests ends without a word, so that what is removed at a program's end stays.
    if (existsSync(at('opened')))
      rmSync(dirname(readFileSync(at('opened'), 'utf8')), { recursive: true, force: true })
    rmSync(folder, { recursive: true, force: true })
  })
  const script = (name: string, lines: readonly string[]): void => {
    writeFileSync(at(name), `#!/bin/sh\n${lines.join('\n')}\n`)
    chmodSync(at(name), 0o755)
  }
  script('run-mailcap', [
    `ps -eo args > '${at('words')}'`,
    `for last; do :; done; printf %s "$last" > '${at('opened.part')}'; mv '${at('opened.part')}' '${at('opened')}'`,
  ])
  script('xdg-settings', [`echo '${defaultBrowser}'`])
  vi.stubEnv('PATH', `${folder}${delimiter}${process.env.PATH}`)
  for (const name of ['DISPLAY', 'WAYLAND_DISPLAY', 'XDG_CURRENT_DESKTOP', 'DESKTOP_SESSION', 'BROWSER']) {
    vi.stubEnv(name, undefined)
  }
  return async () => {
    await vi.waitFor(() => {
      if (!existsSync(at('opened'))) throw new Error('it was not started')
    }, 20_000)
    return { opened: readFileSync(at('opened'), 'utf8'), words: readFileSync(at('words'), 'utf8') }
  }
}
