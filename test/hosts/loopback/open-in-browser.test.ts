// The browser is opened without the token standing where other users of the machine can read it.

import { mkdirSync, mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { openInBrowser } from '../../../app/hosts/loopback/open-in-browser.ts'
import { standInForBrowser } from './fake-browser.ts'

const ADDRESS = 'http://127.0.0.1:4321/?token=a-secret-of-this-test&capture'

describe.skipIf(process.platform !== 'linux')('opening the browser', () => {
  it('gives it a file that only this user can read, and no process the token', async () => {
    const started = standInForBrowser()
    await openInBrowser(ADDRESS)
    const { opened, words } = await started()
    expect(words).toContain('run-mailcap')
    expect(words).not.toContain('a-secret-of-this-test')
    expect(opened.startsWith(tmpdir())).toBe(true)
    const modes = [opened, dirname(opened)].map((path) => (statSync(path).mode & 0o777).toString(8))
    expect(modes).toEqual(['600', '700'])
    expect(readFileSync(opened, 'utf8')).toContain(
      'content="0; url=http://127.0.0.1:4321/?token=a-secret-of-this-test&amp;capture"',
    )
  })

  it('puts the file where a browser from a snap can read it', async () => {
    const home = mkdtempSync(join(tmpdir(), 'takeloft-home-'))
    onTestFinished(() => rmSync(home, { recursive: true, force: true }))
    const common = join(home, 'snap/firefox/common')
    mkdirSync(common, { recursive: true })
    const started = standInForBrowser('firefox_firefox.desktop')
    vi.stubEnv('HOME', home)
    await openInBrowser(ADDRESS)
    const { opened } = await started()
    expect(dirname(dirname(opened))).toBe(common)
  })

  it('leaves no file behind', async () => {
    const started = standInForBrowser()
    const timers = vi.spyOn(globalThis, 'setTimeout')
    await openInBrowser(ADDRESS)
    const { opened } = await started()
    expect(statSync(opened).isFile()).toBe(true)
    // The one that is set for long after any browser has read it.
    const [later] = timers.mock.calls.filter(([, delayMs = 0]) => delayMs >= 60_000)
    timers.mockRestore()
    later[0]()
    expect(statSync(dirname(opened), { throwIfNoEntry: false })).toBeUndefined()
  })
})
