// The desktop program's window: what it is made with, where it may go, and what happens when its page crashes.

import { readFileSync } from 'node:fs'
import { describe, expect, it, vi } from 'vitest'
import { connect } from '../../../app/contract/wire/connect.ts'
import { endNow, nextQuestion, openPage, readLog, setUpDesktop, start } from './desktop.ts'
import { app, nativeTheme } from './fake-electron.ts'
import { electron } from './fake-state.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
setUpDesktop()

describe('the window', () => {
  it('has the paper of its style sheet behind it, by day and by night', async () => {
    const tokens = readFileSync(new URL('../../../renderer/styles/tokens.css', import.meta.url), 'utf8')
    const papers = [...tokens.matchAll(/--paper: (#[0-9a-f]{6});/g)].map(([, colour]) => colour)
    expect(papers).toHaveLength(2)
    expect((await start()).options.backgroundColor).toBe(papers[0])
    await endNow()
    nativeTheme.shouldUseDarkColors = true
    vi.resetModules()
    app.removeAllListeners()
    expect((await start()).options.backgroundColor).toBe(papers[1])
  })

  it('is shown once there is something to see', async () => {
    const window = await start()
    expect(window.options.show).toBe(false)
    window.emit('ready-to-show')
    expect(window.acts).toEqual(['show'])
  })

  it('is called by its catalogue, and remembers its size and place under a name of that', async () => {
    const { options } = await start()
    expect(options.title).toMatch(/^takeloft-electron-\w+\/catalogue\.sqlite – Takeloft$/)
    expect(options).toMatchObject({
      name: expect.stringMatching(/^catalogue-[0-9a-f]{16}$/),
      windowStatePersistence: true,
    })
    const prevent = vi.fn()
    electron.windows[0].emit('page-title-updated', { preventDefault: prevent })
    expect(prevent).toHaveBeenCalledOnce()
  })

  it.each(['will-navigate', 'will-frame-navigate', 'will-redirect'] as const)(
    'stays where it is on %s',
    async (kind) => {
      const { webContents, loaded } = await start()
      expect(loaded).toEqual(['takeloft://window/'])
      for (const url of [
        'https://example.org/',
        'file:///etc/passwd',
        'takeloft://elsewhere/',
        'takeloft://window.example.org/',
        'javascript:alert(1)',
        'about:blank',
        'data:text/html,x',
      ]) {
        expect(webContents.mayGo(kind, url), url).toBe(false)
      }
      expect(webContents.mayGo(kind, 'takeloft://window/')).toBe(true)
    },
  )
})

describe('a page that has crashed', () => {
  const crash = (reason: string) =>
    electron.windows[0].webContents.emit('render-process-gone', {}, { reason, exitCode: 139 })

  it('is opened again where the user says so, while this process goes on', async () => {
    const { webContents } = await start()
    const { client } = connect(await openPage())
    await client.createArtist({ name: 'Maren Holt', note: '' })
    const asked = nextQuestion()
    crash('crashed')
    const question = await asked
    // The question holds up nothing.
    expect(await connect(await openPage()).client.listArtists({})).toHaveLength(1)
    expect(webContents.reloads).toBe(0)
    question.press('Open it again')
    await expect.poll(() => webContents.reloads).toBe(1)
    expect(readLog()).toContain('The page of a window has ended: crashed, exit code 139.')
  })

  it('closes its window where the user says so', async () => {
    await start()
    const asked = nextQuestion()
    crash('oom')
    ;(await asked).press('Close the window')
    await expect.poll(() => electron.windows).toEqual([])
  })

  it('is not asked about where it ended as it should', async () => {
    await start()
    crash('clean-exit')
    expect(electron.questions).toEqual([])
  })
})
