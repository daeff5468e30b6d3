// Electron's published checklist of security recommendations, one test each, by its numbers:
// https://www.electronjs.org/docs/latest/tutorial/security

import { globSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { FuseV1Options } from '@electron/fuses'
import { describe, expect, it, vi } from 'vitest'
import { connect } from '../../../app/contract/wire/connect.ts'
import { answer, nextWindow, openPage, setUpDesktop, start } from './desktop.ts'
import { app } from './fake-electron.ts'
import { electron } from './fake-state.ts'
import type { FakeWindow } from './fake-window.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
const desktop = setUpDesktop()

const ROOT = fileURLToPath(new URL('../../..', import.meta.url))
const packageFile = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
  devDependencies: Record<string, string>
  build: { asar: object; electronFuses: Record<string, boolean> }
}

/** The program with two catalogues open: what holds for one window holds for each. */
async function startTwo(): Promise<FakeWindow[]> {
  const first = await start()
  const loaded = nextWindow()
  app.emit('second-instance', {}, [], '/', { catalogue: join(desktop.folder, 'second.sqlite') })
  return [first, await loaded]
}

const preferencesOf = ({ options }: FakeWindow): Record<string, unknown> =>
  options.webPreferences as unknown as Record<string, unknown>

/** The texts of all that the desktop program and its window are made of. */
const sources = (): string[] =>
  globSync(['app/hosts/electron/**/*.ts', 'renderer/**/*.{ts,tsx,html}'], { cwd: ROOT }).map((path) =>
    readFileSync(join(ROOT, path), 'utf8'),
  )

const policyOf = async (url: string): Promise<string> =>
  (await answer(url)).headers.get('content-security-policy') ?? ''

describe('Electron’s security checklist', () => {
  it('1: only secure content is loaded', async () => {
    for (const { loaded } of await startTwo()) expect(loaded).toEqual(['takeloft://window/'])
    const page = await (await answer('takeloft://window/')).text()
    const addresses = [...page.matchAll(/(?:src|href)="([^"]*)"/g)].map(([, address]) => address)
    expect(addresses.length).toBeGreaterThanOrEqual(2)
    expect(addresses.filter((address) => !address.startsWith('./'))).toEqual([])
  })

  it('2: Node is not integrated, in frames and workers neither', async () => {
    for (const window of await startTwo()) {
      const preferences = preferencesOf(window)
      expect(preferences.nodeIntegration).toBe(false)
      expect(Object.keys(preferences)).not.toContain('nodeIntegrationInWorker')
      expect(Object.keys(preferences)).not.toContain('nodeIntegrationInSubFrames')
    }
  })

  it('3: contexts are isolated', async () => {
    for (const window of await startTwo()) expect(preferencesOf(window).contextIsolation).toBe(true)
  })

  it('4: processes are sandboxed, each that there may be', async () => {
    for (const window of await startTwo()) expect(preferencesOf(window).sandbox).toBe(true)
    expect(electron.isSandboxed).toBe(true)
  })

  it('5: no permission and no device is granted', async () => {
    for (const { webContents } of await startTwo()) {
      for (const permission of ['media', 'geolocation', 'notifications', 'midiSysex', 'openExternal']) {
        const heard: boolean[] = []
        webContents.session.permissionRequest?.(null, permission, (ok) => heard.push(ok))
        expect(heard, permission).toEqual([false])
      }
      expect(webContents.session.permissionCheck?.()).toBe(false)
      expect(webContents.session.device?.()).toBe(false)
    }
  })

  it('6: webSecurity is not disabled', async () => {
    for (const window of await startTwo()) expect(preferencesOf(window).webSecurity ?? true).toBe(true)
  })

  it('7: a content security policy allows what comes from the window’s own origin', async () => {
    await start()
    for (const url of ['takeloft://window/', 'takeloft://window/icon.svg']) {
      const rules = (await policyOf(url)).split('; ')
      expect(rules).toEqual(
        expect.arrayContaining([
          "default-src 'none'",
          "script-src 'self'",
          "connect-src 'self'",
          "base-uri 'none'",
          "form-action 'none'",
          "frame-ancestors 'none'",
        ]),
      )
      expect(rules.join(' ')).not.toMatch(/unsafe-eval|https?:|\*/)
    }
  })

  it('8: insecure content may not run', async () => {
    for (const window of await startTwo()) {
      expect(preferencesOf(window).allowRunningInsecureContent ?? false).toBe(false)
    }
  })

  it('9: experimental features are off', async () => {
    for (const window of await startTwo())
      expect(preferencesOf(window).experimentalFeatures ?? false).toBe(false)
  })

  it('10: no features of Blink are switched on', async () => {
    for (const window of await startTwo()) expect(preferencesOf(window).enableBlinkFeatures ?? '').toBe('')
  })

  it('11: there are no webviews, so none that may open windows', async () => {
    for (const window of await startTwo()) expect(preferencesOf(window).webviewTag ?? false).toBe(false)
    expect(sources().filter((text) => /<webview|allowpopups/i.test(text))).toEqual([])
  })

  it('12: a webview that is made nevertheless is not attached', async () => {
    for (const { webContents } of await startTwo()) {
      const prevent = vi.fn()
      webContents.emit('will-attach-webview', { preventDefault: prevent }, {}, { src: 'takeloft://window/' })
      expect(prevent).toHaveBeenCalledOnce()
    }
  })

  it('13: windows go nowhere else', async () => {
    for (const { webContents } of await startTwo()) {
      for (const kind of ['will-navigate', 'will-frame-navigate', 'will-redirect'] as const) {
        for (const url of ['https://example.org/', 'file:///etc/passwd', 'takeloft://window.example.org/']) {
          expect(webContents.mayGo(kind, url), `${kind} ${url}`).toBe(false)
        }
      }
    }
  })

  it('14: pages open no windows', async () => {
    for (const { webContents } of await startTwo())
      expect(webContents.openHandler?.()).toEqual({ action: 'deny' })
  })

  it('15: nothing is opened by shell.openExternal, and by shell.openPath only the log’s folder; files are shown, not opened', () => {
    const calls = sources().flatMap((text) =>
      [...text.matchAll(/shell\.(\w+)\(([^)]*)\)/g)].map(([call]) => call),
    )
    expect(calls.sort()).toEqual(['shell.openPath(log.folder)', 'shell.showItemInFolder(path)'])
  })

  it('16: Electron is pinned, and the pinned one is what the types and the runtime come from', () => {
    const installed = JSON.parse(readFileSync(join(ROOT, 'node_modules/electron/package.json'), 'utf8')) as {
      version: string
    }
    expect(packageFile.devDependencies.electron).toMatch(/^\d+\.\d+\.\d+$/)
    expect(installed.version).toBe(packageFile.devDependencies.electron)
  })

  it('17: the sender of every message is checked', async () => {
    const { webContents } = await start()
    await connect(await openPage()).client.listArtists({})
    electron.chosen = join(desktop.folder, 'chosen')
    const handled = [...webContents.ipc.handlers.keys()].sort()
    expect(handled).toEqual(['takeloft-folder', 'takeloft-print', 'takeloft-save', 'takeloft-show'])
    // `takeloft-left` only ends the page whose secret name it says, which is told to no other.
    expect(webContents.ipc.eventNames().sort()).toEqual(['takeloft-left', 'takeloft-port'])
    const sent = vi.spyOn(webContents, 'send')
    const ask = { type: 'ask', id: 1, command: 'listArtists', input: {} }
    for (const frame of [{ origin: 'takeloft://window' }, { origin: 'https://example.org' }, null]) {
      const valid: Record<string, unknown> = {
        'takeloft-folder': '/',
        'takeloft-save': { name: 'a.json', text: '' },
        'takeloft-show': desktop.folder,
      }
      for (const channel of handled)
        expect(await webContents.answer(frame, channel, valid[channel])).toBeNull()
      webContents.receive(frame, 'takeloft-port', 'a page', ask)
    }
    webContents.mainFrame = { origin: 'https://example.org' }
    for (const channel of handled)
      expect(await webContents.answer(webContents.mainFrame, channel, '/')).toBeNull()
    webContents.receive(webContents.mainFrame, 'takeloft-port', 'a page', ask)
    await new Promise((resolve) => setImmediate(resolve))
    const { openDialogs, saveDialogs, prints, shown } = electron
    expect([openDialogs, saveDialogs, prints, shown, sent.mock.calls]).toEqual([[], [], [], [], []])
  })

  it('18: pages come by a scheme of the program, not by file://', async () => {
    await start()
    expect(electron.schemes.map(({ scheme }) => scheme)).toEqual(['takeloft'])
    expect(electron.schemes[0].privileges).not.toHaveProperty('bypassCSP')
    expect(sources().filter((text) => /loadFile\(|['"`]file:\/\//.test(text))).toEqual([])
  })

  it('19: each fuse is set on purpose', () => {
    const { resetAdHocDarwinSignature: _signature, ...fuses } = packageFile.build.electronFuses
    expect(fuses).toEqual({
      runAsNode: false,
      enableCookieEncryption: true,
      enableNodeOptionsEnvironmentVariable: false,
      enableNodeCliInspectArguments: false,
      enableEmbeddedAsarIntegrityValidation: true,
      onlyLoadAppFromAsar: true,
      loadBrowserProcessSpecificV8Snapshot: false,
      grantFileProtocolExtraPrivileges: false,
    })
    const known = Object.keys(FuseV1Options).filter((name) => Number.isNaN(Number(name)))
    const named = Object.keys(fuses).map((name) => name[0].toUpperCase() + name.slice(1))
    expect(named.sort()).toEqual(known.sort())
  })

  it('20: the page gets functions of its own purpose, and no part of Electron', async () => {
    const { webContents } = await start()
    await openPage()
    expect([...electron.exposed.keys()]).toEqual(['takeloftBridge'])
    const bridge = electron.exposed.get('takeloftBridge') as Record<string, (...args: unknown[]) => unknown>
    expect(Object.keys(bridge).sort()).toEqual([
      'chooseFolder',
      'listen',
      'pathForFile',
      'post',
      'print',
      'saveFile',
      'showFile',
    ])
    const received = vi.spyOn(webContents, 'receive')
    const answered = vi.spyOn(webContents, 'answer')
    // Whatever a page hands to them, it chooses no channel.
    bridge.post('takeloft-save', { name: 'x' })
    await bridge.saveFile('takeloft-port', {})
    await bridge.chooseFolder('takeloft-port')
    await bridge.print('takeloft-port')
    await bridge.showFile('takeloft-port')
    await new Promise((resolve) => setImmediate(resolve))
    expect(received.mock.calls.map(([, channel]) => channel)).toEqual(['takeloft-port'])
    expect(answered.mock.calls.map(([, channel]) => channel)).toEqual([
      'takeloft-save',
      'takeloft-folder',
      'takeloft-print',
      'takeloft-show',
    ])
  })
})

describe('downloads', () => {
  it('are refused, whoever begins them: files are saved by the system’s dialog', async () => {
    for (const { webContents } of await startTwo()) {
      const prevent = vi.fn()
      webContents.session.emit('will-download', { preventDefault: prevent })
      expect(prevent).toHaveBeenCalledOnce()
    }
  })
})
