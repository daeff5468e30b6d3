// The recall sheet as PDF: printed in a hidden window of its own, and written with the delivery or not at all.

import { execFileSync } from 'node:child_process'
import { mkdirSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, vi } from 'vitest'
import { connect } from '../../../app/contract/wire/connect.ts'
import { SESSION_FIELDS, writeTake } from '../../services/workshop.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { openPage, setUpDesktop, start } from './desktop.ts'
import { electron } from './fake-state.ts'
import type { FakeWindow } from './fake-window.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
const desktop = setUpDesktop()

// As every PDF begins and ends: ISO 32000-1, 7.5.2 and 7.5.5.
const PDF = Buffer.from('%PDF-1.7\ninvented\n%%EOF\n')

/** The windows that were sent to the sheet, also those that are closed again. */
function watchSheets(): FakeWindow[] {
  const sheets: FakeWindow[] = []
  electron.happened.on('loaded', (window: FakeWindow) => {
    if (window.loaded[0]?.startsWith('takeloft://sheet/')) sheets.push(window)
  })
  return sheets
}

async function readySession() {
  await start()
  const { client } = connect(await openPage())
  const artist = await client.createArtist({ name: 'Invented Artist', note: '' })
  const session = await client.createSession({
    ...SESSION_FIELDS,
    artistId: artist.id,
    songTitle: 'Night Train',
  })
  const path = writeTake(join(desktop.folder, 'lead.wav'), [whiteNoise(24_000, 5, 0.1)])
  const { takes } = await client.importTakes({
    ...{ sessionId: session.id, files: [{ path }], voiceId: null, micId: null, curveId: null },
  })
  const { groups } = await client.openSession({ id: session.id })
  await client.addLayer({
    ...{ sessionId: session.id, groupId: groups[0]!.id, takeId: takes[0]!.id, name: 'lead', role: 'lead' },
    ...{ offsetSamples: 0, gainDb: 0, pan: 0, muted: false },
  })
  const folder = join(desktop.folder, 'deliveries')
  mkdirSync(folder)
  return { client, sessionId: session.id, folder }
}

describe('the recall sheet as PDF', () => {
  it('is printed on the paper of its style, in a window without scripts, and is in the hash list', async () => {
    const { client, sessionId, folder } = await readySession()
    const sheets = watchSheets()
    electron.pdf = PDF
    expect((await client.readWorkplace({})).printsPdf).toBe(true)
    expect((await client.previewDelivery({ sessionId })).files.map(({ path }) => path)).toContain(
      '04_Session/recall.pdf',
    )
    const delivered = await client.deliver({ sessionId, folder })
    expect(readFileSync(join(delivered.folder, '04_Session/recall.pdf'))).toEqual(PDF)
    expect(electron.pdfs).toMatchObject([{ preferCSSPageSize: true, printBackground: true }])
    // Independent of our own hashing.
    const check = execFileSync('sha256sum', ['-c', 'manifest-sha256.txt'], { cwd: delivered.folder })
    expect(String(check)).toContain('04_Session/recall.pdf: OK')
    expect((await client.verifyBounce({ manifestPath: delivered.manifest })).differing).toEqual([])

    const [sheet] = sheets
    expect(sheets).toHaveLength(1)
    expect(sheet!.isDestroyed()).toBe(true)
    expect(sheet!.options).toMatchObject({
      show: false,
      webPreferences: { javascript: false, sandbox: true, contextIsolation: true, nodeIntegration: false },
    })
    expect(sheet!.options.webPreferences).not.toHaveProperty('preload')
    const own = sheet!.webContents.session
    expect(own).not.toBe(electron.windows[0]!.webContents.session)
    const page = await own.answers.get('takeloft')!(new Request(sheet!.loaded[0]!))
    expect(await page.text()).toBe(readFileSync(join(delivered.folder, '04_Session/recall.html'), 'utf8'))
    expect((await own.answers.get('takeloft')!(new Request('takeloft://window/'))).status).toBe(404)
    expect([...electron.sessions].find(([, one]) => one === own)![0]).not.toMatch(/^persist:/)
  })

  it('that cannot be printed leaves nothing of the delivery, and says why', async () => {
    const { client, sessionId, folder } = await readySession()
    const sheets = watchSheets()
    // Electron's own words: docs, webContents.printToPDF rejects with the error of the page's process.
    electron.pdf = new Error('Printing failed')
    await expect(client.deliver({ sessionId, folder })).rejects.toMatchObject({
      code: 'not-supported',
      message: expect.stringMatching(/could not be printed as PDF \(Printing failed\); .*\.$/),
    })
    expect(readdirSync(folder)).toEqual([])
    expect(sheets[0]!.isDestroyed()).toBe(true)
    expect(await client.listDeliveries({ sessionId })).toEqual([])
  })

  it('stops when the delivery is cancelled', async () => {
    const { client, sessionId, folder } = await readySession()
    electron.pdf = null
    const abort = new AbortController()
    electron.happened.on('loaded', (window: FakeWindow) => {
      if (window.loaded[0]?.startsWith('takeloft://sheet/')) setTimeout(() => abort.abort())
    })
    await expect(client.deliver({ sessionId, folder }, { signal: abort.signal })).rejects.toMatchObject({
      code: 'cancelled',
    })
    expect(readdirSync(folder)).toEqual([])
    expect(electron.windows).toHaveLength(1)
  })
})
