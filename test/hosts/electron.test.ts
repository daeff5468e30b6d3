// The desktop host with Electron faked: how the window is made and locked, who is heard, what
// the scheme answers, and how the program starts, fails to start and ends. Electron itself is not run.

import { once } from 'node:events'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { connect } from '../../app/contract/connect.ts'
import { buildWindowIfNeeded } from '../../app/hosts/build-window.ts'
import { CHANNEL } from '../../app/hosts/electron/ipc-port.ts'
import type { PreloadBridge } from '../../renderer/bridge.ts'
import { app, electron, type FakeWindow, ipcRenderer, nativeTheme } from './fake-electron.ts'

vi.mock('electron', () => import('./fake-electron.ts'))

let folder: string

beforeEach(async () => {
  await buildWindowIfNeeded(() => {})
  folder = mkdtempSync(join(tmpdir(), 'takeloft-electron-'))
  vi.resetModules()
  app.removeAllListeners()
  ipcRenderer.removeAllListeners()
  electron.ended.removeAllListeners()
  electron.windows.length = 0
  electron.schemes.length = 0
  electron.errors.length = 0
  electron.answers.clear()
  electron.isFirst = true
  electron.dialogChoice = 0
  electron.folderDialogs.length = 0
  electron.chosenFolder = null
  electron.menu = undefined
  electron.paths.set('userData', '/nowhere/Takeloft')
  electron.switches.set('catalogue', join(folder, 'catalogue.sqlite'))
  nativeTheme.shouldUseDarkColors = false
})

afterEach(async () => {
  if (electron.windows.length > 0) await quit()
  rmSync(folder, { recursive: true, force: true })
})

/** Runs the program's entry up to the window that it opens. */
async function start(): Promise<FakeWindow> {
  const loaded = once(electron.loaded, 'loaded')
  await import('../../app/hosts/electron/main.ts')
  const [window] = (await loaded) as [FakeWindow]
  electron.page = window.webContents
  return window
}

/** Quits as the last closed window does; gives the exit status. */
async function quit(): Promise<number> {
  const ended = once(electron.ended, 'exit')
  app.emit('window-all-closed')
  const [status] = (await ended) as [number]
  electron.windows.length = 0
  return status
}

/** A page of the window: its preload script, run anew as with each load. */
async function openPage(): Promise<PreloadBridge> {
  vi.resetModules()
  await import('../../app/hosts/electron/preload.ts')
  return electron.exposed.get('takeloftBridge') as PreloadBridge
}

const answer = (url: string, init?: RequestInit): Promise<Response> =>
  electron.answers.get('takeloft')!(new Request(url, init))

describe('the window', () => {
  it('is isolated and sandboxed, with no Node in it', async () => {
    const { options } = await start()
    expect(options.webPreferences).toMatchObject({
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      preload: expect.stringMatching(/preload[/\\]preload\.cjs$/),
    })
    const forbidden = [
      'webSecurity',
      'allowRunningInsecureContent',
      'webviewTag',
      'nodeIntegrationInSubFrames',
    ]
    expect(Object.keys(options.webPreferences as object).filter((name) => forbidden.includes(name))).toEqual(
      [],
    )
  })

  it('has the paper of its style sheet behind it, by day and by night', async () => {
    const tokens = readFileSync(new URL('../../renderer/styles/tokens.css', import.meta.url), 'utf8')
    const papers = [...tokens.matchAll(/--paper: (#[0-9a-f]{6});/g)].map(([, colour]) => colour)
    expect(papers).toHaveLength(2)
    expect((await start()).options.backgroundColor).toBe(papers[0])
    await quit()
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

  it('opens no other window, embeds no page and saves no file by itself', async () => {
    const { webContents } = await start()
    expect(webContents.openHandler?.()).toEqual({ action: 'deny' })
    const prevent = vi.fn()
    webContents.emit('will-attach-webview', { preventDefault: prevent })
    webContents.session.emit('will-download', { preventDefault: prevent })
    expect(prevent).toHaveBeenCalledTimes(2)
  })

  it('is granted no permission and no device', async () => {
    const { session } = (await start()).webContents
    for (const permission of ['media', 'geolocation', 'notifications', 'midiSysex', 'openExternal']) {
      const heard: boolean[] = []
      session.permissionRequest?.(null, permission, (ok) => heard.push(ok))
      expect(heard, permission).toEqual([false])
    }
    expect(session.permissionCheck?.()).toBe(false)
    expect(session.device?.()).toBe(false)
  })

  it('whose page has crashed is opened again, or the program quits, as the engineer says', async () => {
    const { webContents } = await start()
    webContents.emit('render-process-gone', {}, { reason: 'crashed' })
    expect(webContents.reloads).toBe(1)
    electron.dialogChoice = 1
    const ended = once(electron.ended, 'exit')
    webContents.emit('render-process-gone', {}, { reason: 'oom' })
    expect(await ended).toEqual([0])
    electron.windows.length = 0
  })

  it('has a menu of standard roles that leaves Ctrl+Z to the page', async () => {
    await start()
    const roles = (electron.menu ?? []).flatMap(({ role, submenu = [] }) => [
      role,
      ...submenu.map((one) => one.role),
    ])
    expect(roles).toEqual(
      expect.arrayContaining(['fileMenu', 'editMenu', 'copy', 'paste', 'viewMenu', 'windowMenu']),
    )
    expect(roles).not.toContain('undo')
    expect(roles).not.toContain('redo')
  })
})

describe('the scheme', () => {
  it('has an origin, storage, fetch and streams before Electron is ready', async () => {
    await start()
    expect(electron.schemes).toEqual([
      {
        scheme: 'takeloft',
        privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true },
      },
    ])
  })

  it('answers with the window, isolated, and with the same policy as the loopback host', async () => {
    await start()
    const { status, headers } = await answer('takeloft://window/')
    expect(status).toBe(200)
    expect(Object.fromEntries(headers)).toMatchObject({
      'content-type': 'text/html; charset=utf-8',
      'cross-origin-opener-policy': 'same-origin',
      'cross-origin-embedder-policy': 'require-corp',
      'content-security-policy': expect.stringMatching(/^default-src 'none'; script-src 'self';/),
    })
  })

  it('answers the sound routes', async () => {
    await start()
    const peaks = await answer('takeloft://window/peaks/1')
    expect([peaks.status, await peaks.json()]).toEqual([422, expect.objectContaining({ code: 'not-found' })])
    const stored = await answer('takeloft://window/incoming/a.wav', { method: 'PUT', body: 'sound' })
    const { path } = (await stored.json()) as { path: string }
    expect(readFileSync(path, 'utf8')).toBe('sound')
    expect(path.startsWith(join(folder, 'incoming'))).toBe(true)
  })

  it.each([
    'takeloft://elsewhere/index.html',
    'takeloft://window.example.org/index.html',
    'takeloft://window/..%2f..%2fpackage.json',
    'takeloft://window/%2e%2e/%2e%2e/package.json',
    'takeloft://window/%',
  ])('has nothing at %s', async (url) => {
    await start()
    expect((await answer(url)).status).toBe(404)
  })
})

describe('messages', () => {
  const ask = { type: 'ask', id: 1, command: 'readWorkplace', input: {} }

  it('of the page reach the services, and the answers reach the page', async () => {
    await start()
    const { client } = connect(await openPage())
    expect(await client.readWorkplace({})).toMatchObject({
      cataloguePath: join(folder, 'catalogue.sqlite'),
      empty: true,
    })
    const artist = await client.createArtist({ name: 'Maren Holt', note: '' })
    expect(await client.listArtists({})).toEqual([artist])
  })

  it.each<[string, { origin: string } | null | 'main', unknown]>([
    ['a frame inside the page', { origin: 'takeloft://window' }, 'page'],
    ['a frame that is gone', null, 'page'],
    ['nobody that says which page it is', 'main', undefined],
  ])('of %s are not heard', async (_who, frame, page) => {
    const { webContents } = await start()
    const sent = vi.spyOn(webContents, 'send')
    webContents.receive(frame === 'main' ? webContents.mainFrame : frame, CHANNEL, page, ask)
    // Whoever is heard is answered before this.
    await connect(await openPage()).client.readWorkplace({})
    expect(sent.mock.calls.filter(([, id]) => id === page)).toEqual([])
  })

  it('of another origin in the same window are not heard', async () => {
    const { webContents } = await start()
    const sent = vi.spyOn(webContents, 'send')
    webContents.mainFrame = { origin: 'https://example.org' }
    webContents.receive(webContents.mainFrame, CHANNEL, 'page', ask)
    webContents.mainFrame = { origin: 'takeloft://window' }
    await connect(await openPage()).client.readWorkplace({})
    expect(sent.mock.calls.filter(([, id]) => id === 'page')).toEqual([])
  })

  it('asked before a reload are never answered to the page after it', async () => {
    await start()
    const before = await openPage()
    const heard: unknown[] = []
    before.listen(
      (message) => heard.push(message),
      () => {},
    )
    await connect(before).client.readWorkplace({})
    const answered = heard.length
    const after = connect(await openPage())
    await after.client.readWorkplace({})
    const asked = after.client.listArtists({})
    // The page that was left speaks once more, and takes nothing from the one that is there.
    before.post({ type: 'ask', id: 2, command: 'readWorkplace', input: {} })
    expect(await asked).toEqual([])
    await after.client.listMics({})
    expect(heard).toHaveLength(answered)
  })

  it('open the system’s dialog for a folder, and say what was chosen', async () => {
    const { webContents } = await start()
    const bridge = await openPage()
    expect(await bridge.chooseFolder('/music/Paper Lanterns')).toBeNull()
    electron.chosenFolder = '/music/stems'
    expect(await bridge.chooseFolder('/music/Paper Lanterns')).toBe('/music/stems')
    expect(electron.folderDialogs).toHaveLength(2)
    expect(electron.folderDialogs[1]).toMatchObject({
      defaultPath: '/music/Paper Lanterns',
      properties: expect.arrayContaining(['openDirectory', 'createDirectory']),
    })
    // Neither a frame inside the page nor a page from elsewhere, nor what is no path.
    const { mainFrame } = webContents
    expect(await webContents.answer({ origin: 'takeloft://window' }, 'takeloft-folder', '/')).toBeNull()
    expect(await webContents.answer(null, 'takeloft-folder', '/')).toBeNull()
    expect(await webContents.answer(mainFrame, 'takeloft-folder', 7)).toBeNull()
    mainFrame.origin = 'https://example.org'
    expect(await webContents.answer(mainFrame, 'takeloft-folder', '/')).toBeNull()
    expect(electron.folderDialogs).toHaveLength(2)
  })

  it('are all that the page gets, with a folder’s dialog and the path of a dropped file', async () => {
    await start()
    const bridge = await openPage()
    expect(Object.keys(bridge).sort()).toEqual(['chooseFolder', 'listen', 'pathForFile', 'post'])
    expect(bridge.pathForFile(new File([], 'lead.wav'))).toBe('/takes/lead.wav')
    const stop = bridge.listen(
      () => {},
      () => {},
    )
    // Whatever a function gives back goes to the page, so this may not be Electron's own object.
    expect(stop()).toBeUndefined()
    expect(bridge.post({ type: 'cancel', id: 1 })).toBeUndefined()
  })
})

describe('the program', () => {
  it('keeps the window’s cache in a folder of its own', async () => {
    await start()
    expect(electron.paths.get('userData')).toBe(join('/nowhere/Takeloft', 'window'))
  })

  it('started a second time brings the first window forward and ends', async () => {
    const window = await start()
    app.emit('second-instance')
    expect(window.acts).toEqual(['restore', 'focus'])

    vi.resetModules()
    electron.isFirst = false
    // Another process, so neither hears what the other one listens to.
    const ofTheFirst = app.eventNames().map((name) => [name, app.listeners(name)] as const)
    app.removeAllListeners()
    const ended = once(electron.ended, 'exit')
    await import('../../app/hosts/electron/main.ts')
    expect(await ended).toEqual([0])
    expect(electron.windows).toHaveLength(1)
    app.removeAllListeners()
    for (const [name, listeners] of ofTheFirst) {
      for (const listener of listeners) app.once(name, listener as () => void)
    }
  })

  it('closes the catalogue before it ends', async () => {
    await start()
    const { client } = connect(await openPage())
    await client.createArtist({ name: 'Maren Holt', note: '' })
    expect(await quit()).toBe(0)
    // Closing folds the write-ahead log into the file and takes it away.
    const files = (name: string) => readFileSync(join(folder, name))
    expect(files('catalogue.sqlite').includes('Maren Holt')).toBe(true)
    expect(() => files('catalogue.sqlite-wal')).toThrow(/ENOENT/)
  })

  it('that cannot open its catalogue says so in a dialog and ends with 2', async () => {
    const path = join(folder, 'catalogue.sqlite')
    writeFileSync(
      path,
      'This is no catalogue at all, but a text that somebody saved under its name.\n'.repeat(20),
    )
    vi.spyOn(console, 'error').mockImplementation(() => {})
    const ended = once(electron.ended, 'exit')
    await import('../../app/hosts/electron/main.ts')
    expect(await ended).toEqual([2])
    expect(electron.errors).toEqual([
      expect.stringMatching(/^Takeloft cannot start: .*catalogue\.sqlite.*\.$/),
    ])
    expect(electron.windows).toEqual([])
  })
})

describe('the preload script', () => {
  it('imports nothing but Electron once its types are gone', () => {
    const path = fileURLToPath(new URL('../../app/hosts/electron/preload.ts', import.meta.url))
    const imports = [...readFileSync(path, 'utf8').matchAll(/^import (?!type ).*from '(.*)'$/gm)].map(
      ([, from]) => from,
    )
    expect(imports).toEqual(['electron'])
  })
})
