// Saving a file from the window: the system's dialog, and a file in the place that was chosen there.

import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, vi } from 'vitest'
import { defaultStages, parseChainDocument } from '../../../app/contract/chain-document.ts'
import { connect } from '../../../app/contract/wire/connect.ts'
import { logFolder } from '../../../app/hosts/log-folder.ts'
import { chainFileOf } from '../../../renderer/places/chain/chain-files.ts'
import { SESSION_FIELDS, writeTake } from '../../services/workshop.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { openPage, setUpDesktop, start } from './desktop.ts'
import { electron } from './fake-state.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
const desktop = setUpDesktop()

describe('saving a file', () => {
  it('offers its name among the user’s documents, and writes it where the user says', async () => {
    await start()
    const bridge = await openPage()
    const file = chainFileOf('Rap main 2', [defaultStages.trim, defaultStages.opto])
    const path = join(desktop.folder, 'Mine.chain.json')
    electron.chosen = path
    expect(await bridge.saveFile(file)).toEqual({ savedAs: path })
    expect(electron.saveDialogs).toEqual([
      expect.objectContaining({
        defaultPath: join('/nowhere/Documents', 'Rap main 2.chain.json'),
        filters: [{ name: 'Chain', extensions: ['json'] }],
        properties: expect.arrayContaining(['showOverwriteConfirmation', 'createDirectory']),
      }),
    ])
    const saved = parseChainDocument(JSON.parse(readFileSync(path, 'utf8')), path)
    expect(saved.stages).toEqual([defaultStages.trim, defaultStages.opto])
  })

  it('replaces a file of that name, since the dialog has asked', async () => {
    await start()
    const path = join(desktop.folder, 'Mine.csv')
    writeFileSync(path, 'before')
    electron.chosen = path
    await (await openPage()).saveFile({ name: 'Mine.csv', text: 'after' })
    expect(readFileSync(path, 'utf8')).toBe('after')
    expect(electron.saveDialogs[0].filters).toEqual([{ name: 'Curve', extensions: ['csv'] }])
  })

  it('writes nothing where the dialog is left', async () => {
    await start()
    const before = readdirSync(desktop.folder)
    expect(await (await openPage()).saveFile({ name: 'a.json', text: 'x' })).toBeNull()
    expect(readdirSync(desktop.folder)).toEqual(before)
  })

  it('never writes to a take, and says so to the page', async () => {
    await start()
    const bridge = await openPage()
    const { client } = connect(bridge)
    const artist = await client.createArtist({ name: 'Maren Holt', note: '' })
    const session = await client.createSession({
      ...SESSION_FIELDS,
      artistId: artist.id,
      songTitle: 'Seven Stairs',
    })
    const take = writeTake(join(desktop.folder, 'lead.wav'), [whiteNoise(24_000, 3)])
    const { takes } = await client.importTakes({
      sessionId: session.id,
      files: [{ path: take }],
      voiceId: null,
      micId: null,
      curveId: null,
    })
    expect(takes).toHaveLength(1)
    const before = readFileSync(take)
    electron.chosen = take
    expect(await bridge.saveFile({ name: 'a.json', text: 'x' })).toMatchObject({
      failure: { code: 'conflict', message: expect.stringContaining('takes are never written to') },
    })
    expect(readFileSync(take).equals(before)).toBe(true)
  })

  it('never writes among the program’s own files', async () => {
    await start()
    const bridge = await openPage()
    electron.paths.set('userData', join(desktop.folder, 'window'))
    for (const folder of [join(desktop.folder, 'peaks'), logFolder()]) {
      mkdirSync(folder, { recursive: true })
      electron.chosen = join(folder, 'a.json')
      expect(await bridge.saveFile({ name: 'a.json', text: 'x' }), folder).toMatchObject({
        failure: { code: 'conflict' },
      })
      expect(existsSync(electron.chosen)).toBe(false)
    }
  })

  it.each([
    ['a path for a name', { name: '../../.profile', text: 'x' }],
    ['a path of Windows for a name', { name: 'C:\\autoexec.bat', text: 'x' }],
    ['no name', { name: '', text: 'x' }],
    ['no text', { name: 'a.json' }],
    ['nothing', undefined],
  ])('opens no dialog for %s', async (_what, asked) => {
    await start()
    electron.chosen = join(desktop.folder, 'a.json')
    expect(await (await openPage()).saveFile(asked as never)).toMatchObject({
      failure: { code: 'invalid-input' },
    })
    expect(electron.saveDialogs).toEqual([])
  })
})
