// The desktop program from its start to its end.

import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, vi } from 'vitest'
import { connect } from '../../../app/contract/wire/connect.ts'
import { ended, openPage, readLog, setUpDesktop, start } from './desktop.ts'
import { electron } from './fake-state.ts'
import { FakeWindow } from './fake-window.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
const desktop = setUpDesktop()

describe('the program', () => {
  it('keeps the windows’ caches in a folder of its own', async () => {
    await start()
    expect(electron.paths.get('userData')).toBe(join('/nowhere/Takeloft', 'window'))
  })

  it('opens the catalogue of the user’s folder where none is named', async () => {
    electron.switches.delete('catalogue')
    const { options } = await start()
    expect(options.title).toBe('Takeloft')
    const { cataloguePath } = await connect(await openPage()).client.readWorkplace({})
    expect(cataloguePath.startsWith(desktop.folder)).toBe(true)
    expect(cataloguePath).toMatch(/Takeloft[/\\]catalogue\.sqlite$/)
  })

  it.each([
    ['--catalogue=other.sqlite', ['takeloft']],
    ['--catalogue other.sqlite', ['takeloft', '--catalogue', 'other.sqlite']],
  ])('opens the catalogue that is named: %s', async (words, argv) => {
    // Chromium gives the value of the first form, and an empty one for the second.
    electron.switches.set('catalogue', words.split('=')[1] ?? '')
    vi.spyOn(process, 'argv', 'get').mockReturnValue(argv)
    vi.spyOn(process, 'cwd').mockReturnValue(desktop.folder)
    const { options } = await start()
    expect(options.title).toMatch(/\/other\.sqlite – Takeloft$/)
    expect(existsSync(join(desktop.folder, 'other.sqlite'))).toBe(true)
  })

  it('shows its window and goes on where the page’s load was overtaken by another', async () => {
    const load = vi.spyOn(FakeWindow.prototype, 'loadURL').mockImplementation(async function (
      this: FakeWindow,
    ) {
      electron.happened.emit('loaded', this)
      throw new Error('ERR_ABORTED (-3)')
    })
    const window = await start()
    load.mockRestore()
    await vi.waitFor(() => expect(window.acts).toEqual(['show']))
    expect(electron.errors).toEqual([])
    expect(await connect(await openPage()).client.listArtists({})).toEqual([])
  })

  it('says which version it is in About', async () => {
    await start()
    const { version } = JSON.parse(
      readFileSync(new URL('../../../package.json', import.meta.url), 'utf8'),
    ) as { version: string }
    expect(electron.about).toEqual({ applicationName: 'Takeloft', applicationVersion: version })
  })

  it('closes the catalogue before it ends', async () => {
    const window = await start()
    const { client } = connect(await openPage())
    await client.createArtist({ name: 'Maren Holt', note: '' })
    const end = ended()
    window.close()
    expect(await end).toBe(0)
    // Closing folds the write-ahead log into the file and takes it away.
    const path = join(desktop.folder, 'catalogue.sqlite')
    expect(readFileSync(path).includes('Maren Holt')).toBe(true)
    expect(existsSync(`${path}-wal`)).toBe(false)
  })

  it('that cannot open its catalogue says so in a dialog and in the log, and ends with 2', async () => {
    const path = join(desktop.folder, 'catalogue.sqlite')
    writeFileSync(
      path,
      'This is no catalogue at all, but a text that somebody saved under its name.\n'.repeat(20),
    )
    const end = ended()
    await import('../../../app/hosts/electron/main.ts')
    expect(await end).toBe(2)
    expect(electron.errors).toEqual([
      expect.stringMatching(/^Takeloft cannot start: .*catalogue\.sqlite.*\.$/),
    ])
    expect(electron.windows).toEqual([])
    expect(readLog()).toContain('catalogue.sqlite')
  })
})
