// What pages and the desktop program say to each other, and who is not heard.

import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it, vi } from 'vitest'
import { connect } from '../../../app/contract/wire/connect.ts'
import { openPage, setUpDesktop, start } from './desktop.ts'
import { electron } from './fake-state.ts'

/** As the preload script names it, which no other file can import. */
const PORT_CHANNEL = 'takeloft-port'

vi.mock('electron', () => import('./fake-electron.ts'))
const desktop = setUpDesktop()

describe('messages', () => {
  const ask = { type: 'ask', id: 1, command: 'readWorkplace', input: {} }

  it('of the page reach the services, and the answers reach the page', async () => {
    await start()
    const { client } = connect(await openPage())
    expect(await client.readWorkplace({})).toMatchObject({
      cataloguePath: join(desktop.folder, 'catalogue.sqlite'),
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
    webContents.receive(frame === 'main' ? webContents.mainFrame : frame, PORT_CHANNEL, page, ask)
    // Whoever is heard is answered before this.
    await connect(await openPage()).client.readWorkplace({})
    expect(sent.mock.calls.filter(([, id]) => id === page)).toEqual([])
  })

  it('of another origin in the same window are not heard', async () => {
    const { webContents } = await start()
    const sent = vi.spyOn(webContents, 'send')
    webContents.mainFrame = { origin: 'https://example.org' }
    webContents.receive(webContents.mainFrame, PORT_CHANNEL, 'page', ask)
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

  it('are not sent to a page once it has been left, before the next one is there', async () => {
    const { webContents } = await start()
    const { client } = connect(await openPage())
    await client.readWorkplace({})
    const sent = vi.spyOn(webContents, 'send')
    // Answered after the page has said that it is left.
    client.readWorkplace({}).catch(() => {})
    webContents.reload()
    await new Promise((resolve) => setImmediate(resolve))
    expect([webContents.reloads, sent.mock.calls]).toEqual([1, []])
    expect(await connect(await openPage()).client.listArtists({})).toEqual([])
  })

  it('open the system’s dialog for a folder, and say what was chosen', async () => {
    const { webContents } = await start()
    const bridge = await openPage()
    expect(await bridge.chooseFolder('/music/Paper Lanterns')).toBeNull()
    electron.chosen = '/music/stems'
    expect(await bridge.chooseFolder('/music/Paper Lanterns')).toBe('/music/stems')
    expect(electron.openDialogs).toHaveLength(2)
    expect(electron.openDialogs[1]).toMatchObject({
      defaultPath: '/music/Paper Lanterns',
      properties: expect.arrayContaining(['openDirectory', 'createDirectory']),
    })
    expect(await webContents.answer(webContents.mainFrame, 'takeloft-folder', 7)).toBeNull()
    expect(electron.openDialogs).toHaveLength(2)
  })

  it('show a file in its folder, or say that it is gone', async () => {
    const { webContents } = await start()
    const bridge = await openPage()
    const here = join(desktop.folder, 'manifest.json')
    writeFileSync(here, '{}')
    expect(await bridge.showFile(here)).toBeNull()
    expect(electron.shown).toEqual([here])
    const gone = join(desktop.folder, 'gone.json')
    expect(await bridge.showFile(gone)).toMatchObject({
      code: 'not-found',
      message: expect.stringContaining(gone),
    })
    for (const wrong of [7, 'manifest.json']) {
      expect(await webContents.answer(webContents.mainFrame, 'takeloft-show', wrong)).toBeNull()
    }
    expect(electron.shown).toEqual([here])
  })

  it('are all that the page gets, with the system’s dialogs and the path of a dropped file', async () => {
    await start()
    const bridge = await openPage()
    expect(Object.keys(bridge).sort()).toEqual([
      'chooseFolder',
      'listen',
      'pathForFile',
      'post',
      'print',
      'saveFile',
      'showFile',
    ])
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

describe('the preload script', () => {
  it('imports nothing but Electron once its types are gone', () => {
    const path = fileURLToPath(new URL('../../../app/hosts/electron/preload.ts', import.meta.url))
    const imports = [...readFileSync(path, 'utf8').matchAll(/^import (?!type ).*from '(.*)'$/gm)].map(
      ([, from]) => from,
    )
    expect(imports).toEqual(['electron'])
  })
})
