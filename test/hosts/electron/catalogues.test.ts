// Several catalogues: each in a window of its own in one process, and none in two windows.

import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { connect } from '../../../app/contract/wire/connect.ts'
import { answer, ended, nextQuestion, nextWindow, openPage, setUpDesktop, start } from './desktop.ts'
import { app } from './fake-electron.ts'
import { electron } from './fake-state.ts'
import type { FakeWindow } from './fake-window.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
const desktop = setUpDesktop()
const cwd = process.cwd()
afterEach(() => process.chdir(cwd))

/** What the first start hears when the program is started again. */
const startAgain = (said: unknown): void => {
  app.emit('second-instance', {}, ['takeloft', '--catalogue=elsewhere'], '/elsewhere', said)
}
const other = (): string => {
  mkdirSync(join(desktop.folder, 'other'), { recursive: true })
  return join(desktop.folder, 'other', 'catalogue.sqlite')
}

describe('a second start', () => {
  it('tells the first which catalogue it wants, from its own working directory, and ends', async () => {
    process.chdir(desktop.folder)
    electron.switches.set('catalogue', join('other', 'catalogue.sqlite'))
    electron.isFirst = false
    const end = ended()
    await import('../../../app/hosts/electron/main.ts')
    expect(await end).toBe(0)
    expect(electron.said).toEqual({ catalogue: join(process.cwd(), 'other', 'catalogue.sqlite') })
    expect(electron.windows).toEqual([])
  })

  it('with the same catalogue brings its window forward', async () => {
    const window = await start()
    startAgain({ catalogue: join(desktop.folder, 'catalogue.sqlite') })
    symlinkSync(desktop.folder, join(desktop.folder, 'short way'))
    startAgain({ catalogue: join(desktop.folder, 'short way', 'catalogue.sqlite') })
    expect(window.acts).toEqual(['restore', 'focus', 'restore', 'focus'])
    expect(electron.windows).toEqual([window])
  })

  it('with another catalogue opens it beside the first, each with a catalogue of its own', async () => {
    const first = await start()
    const page = connect(await openPage(first.webContents))
    await page.client.createArtist({ name: 'Maren Holt', note: '' })
    const loaded = nextWindow()
    startAgain({ catalogue: other() })
    const second = await loaded
    expect(electron.windows).toEqual([first, second])
    const otherPage = connect(await openPage(second.webContents))
    expect(await otherPage.client.readWorkplace({})).toMatchObject({ cataloguePath: other() })
    expect(await otherPage.client.listArtists({})).toEqual([])
    await otherPage.client.createArtist({ name: 'Ilse Brandt', note: '' })
    expect((await page.client.listArtists({})).map(({ name }) => name)).toEqual(['Maren Holt'])
  })

  it('leaves each window its own session, answers, and remembered place', async () => {
    const first = await start()
    const loaded = nextWindow()
    startAgain({ catalogue: other() })
    const second = await loaded
    const sessionOf = ({ options }: FakeWindow) => options.webPreferences.session
    expect(sessionOf(first)).not.toBe(sessionOf(second))
    expect(first.options.name).not.toBe(second.options.name)
    expect(first.options.title).not.toBe(second.options.title)
    expect([...electron.sessions.keys()]).toEqual([
      `persist:${first.options.name}`,
      `persist:${second.options.name}`,
    ])
    for (const one of electron.sessions.values()) {
      const page = await one.answers.get('takeloft')!(new Request('takeloft://window/'))
      expect(page.status).toBe(200)
      expect(one.listenerCount('will-download')).toBe(1)
    }
  })

  it.each([
    ['nothing', undefined],
    ['no path', { catalogue: 7 }],
    ['a relative path', { catalogue: 'catalogue.sqlite' }],
  ])('that says %s changes nothing', async (_what, said) => {
    const window = await start()
    startAgain(said)
    expect([electron.windows, window.acts]).toEqual([[window], []])
  })

  it('with a file that is no catalogue is told so, while the first window goes on', async () => {
    const window = await start()
    writeFileSync(other(), 'No catalogue, but a text that somebody saved under its name.\n'.repeat(20))
    const asked = nextQuestion()
    startAgain({ catalogue: other() })
    expect((await asked).options).toMatchObject({
      type: 'error',
      message: 'The catalogue cannot be opened.',
      detail: expect.stringContaining(other()),
    })
    expect(electron.windows).toEqual([window])
    expect(await connect(await openPage()).client.listArtists({})).toEqual([])
  })
})

describe('a catalogue', () => {
  it('chosen in the menu opens in a window of its own', async () => {
    const first = await start()
    const item = electron
      .menu!.flatMap(({ submenu = [] }) => submenu)
      .find(({ label }) => label === 'Open Catalogue…')!
    item.click!({}, first)
    await vi.waitFor(() => expect(electron.openDialogs).toHaveLength(1))
    expect(electron.windows).toEqual([first])
    expect(electron.openDialogs[0]).toMatchObject({ properties: ['openFile'] })
    electron.chosen = other()
    const loaded = nextWindow()
    item.click!({}, first)
    expect(await loaded).toBe(electron.windows[1])
  })

  it('that was closed can be opened again, with the same session', async () => {
    const first = await start()
    let loaded = nextWindow()
    startAgain({ catalogue: other() })
    const second = await loaded
    second.close()
    await vi.waitFor(() => expect(electron.windows).toEqual([first]))
    loaded = nextWindow()
    startAgain({ catalogue: other() })
    const third = await loaded
    expect(third.options.webPreferences.session).toBe(second.options.webPreferences.session)
    expect(third.options.webPreferences.session.listenerCount('will-download')).toBe(1)
    expect(await connect(await openPage(third.webContents)).client.readWorkplace({})).toMatchObject({
      cataloguePath: other(),
    })
    expect((await answer('takeloft://window/')).status).toBe(200)
  })

  it('is found whatever the first start called it', async () => {
    const path = join(desktop.folder, 'catalogue.sqlite')
    electron.switches.set('catalogue', relative(process.cwd(), path))
    const window = await start()
    startAgain({ catalogue: path })
    expect([electron.windows, window.acts]).toEqual([[window], ['restore', 'focus']])
  })
})
