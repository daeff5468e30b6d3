// What a browser has sent stays only if it becomes a take: not after an import that was cancelled or refused it,
// not when its page has gone, and not past the next start of a program that was killed.

import { existsSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest'
import { type Connection, connect } from '../../../app/contract/wire/connect.ts'
import { serve } from '../../../app/contract/wire/serve.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { createMemoryPorts } from '../../contract/memory-ports.ts'
import { SESSION_FIELDS } from '../../services/workshop.ts'
import { chunkBytes, fmtChunk, waveBytes } from '../../signals/wave-bytes.ts'
import { type OpenHost, openHost } from './open-host.ts'
import { serveHost } from './served-host.ts'

const SETTINGS = { voiceId: null, micId: null, curveId: null }
let seed = 0
/** A take of `seconds` at 48 kHz, mono, 16 bits, unlike any other. */
const take = (seconds: number): Buffer => {
  const data = Buffer.alloc(96_000 * seconds, ++seed)
  for (let at = 0; at < data.length; at += 2) data.writeInt16LE(((at * seed * 7919) % 20_000) - 10_000, at)
  return waveBytes([fmtChunk(), chunkBytes('data', data)])
}

async function sessionOf({ client }: Connection): Promise<number> {
  const artist = await client.createArtist({ name: `Invented Artist ${++seed}`, note: '' })
  const session = { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' }
  return (await client.createSession(session)).id
}

describe('a file that a window has sent', () => {
  let host: OpenHost
  beforeAll(async () => {
    host = await openHost()
  })
  afterAll(() => host.close())

  const openPage = (): Connection & { leave(): void } => {
    const { window, services, close } = createMemoryPorts()
    serve(services, createHandlers(host.workplace), host.workplace.subscribe, (error) => {
      throw error
    })
    return { ...connect(window), leave: close }
  }
  const send = async (name: string, body: Uint8Array | string): Promise<string> => {
    const answer = await host.askFromWindow({ method: 'PUT', path: `/incoming/${name}`, body })
    return (JSON.parse(answer.body.toString()) as { path: string }).path
  }
  const isThere = (path: string): boolean => existsSync(join(path, '..'))

  it('stays as a take, also when its page drops it and goes', async () => {
    const page = openPage()
    const sessionId = await sessionOf(page)
    const path = await send('lead.wav', take(1))
    await page.client.bindUploadToPage({ path })
    const { takes } = await page.client.importTakes({ sessionId, files: [{ path }], ...SETTINGS })
    await page.client.discardUploads({ paths: [path] })
    page.leave()
    expect(takes).toHaveLength(1)
    expect(existsSync(path)).toBe(true)
  })

  it('goes where the catalogue has its bytes already, and the take that has them stays', async () => {
    const page = openPage()
    const sessionId = await sessionOf(page)
    const bytes = take(1)
    const paths = [await send('a.wav', bytes), await send('a.wav', bytes), await send('b.wav', bytes)]
    const [first, ...again] = paths.map((path) => ({ path }))
    await page.client.importTakes({ sessionId, files: [first], ...SETTINGS })
    const { takes } = await page.client.importTakes({ sessionId, files: again, ...SETTINGS })
    expect(paths.map(isThere)).toEqual([true, false, false])
    expect(takes.map(({ copies }) => copies)).toEqual([[], []])
  })

  it('is kept once where one import has it twice', async () => {
    const page = openPage()
    const sessionId = await sessionOf(page)
    const bytes = take(1)
    const paths = [await send('a.wav', bytes), await send('b.wav', bytes)]
    const files = paths.map((path) => ({ path }))
    const { takes } = await page.client.importTakes({ sessionId, files, ...SETTINGS })
    expect(new Set(takes.map(({ id }) => id)).size).toBe(1)
    expect(paths.filter(isThere)).toHaveLength(1)
  })

  it.each([
    ['is gone', (path: string) => rmSync(path)],
    ['has other bytes now', (path: string) => writeFileSync(path, 'something else')],
  ])('stays where the file of the take that has its bytes %s', async (_what, harm) => {
    const page = openPage()
    const sessionId = await sessionOf(page)
    const bytes = take(1)
    const [first, second] = [await send('a.wav', bytes), await send('a.wav', bytes)]
    await page.client.importTakes({ sessionId, files: [{ path: first }], ...SETTINGS })
    harm(first)
    await page.client.importTakes({ sessionId, files: [{ path: second }], ...SETTINGS })
    expect(existsSync(second)).toBe(true)
  })

  it('goes when an import has refused it, and the others of the import stay', async () => {
    const page = openPage()
    const sessionId = await sessionOf(page)
    const [good, bad] = [await send('good.wav', take(1)), await send('bad.wav', 'no sound')]
    const files = [{ path: good }, { path: bad }]
    const { refused } = await page.client.importTakes({ sessionId, files, ...SETTINGS })
    // Named as the user knows it, not by the folder of its copy.
    expect(refused).toMatchObject([{ path: 'bad.wav' }])
    expect(refused[0].failure.message).toMatch(/^bad\.wav cannot be read/)
    expect([isThere(good), isThere(bad)]).toEqual([true, false])
  })

  it('goes when its import was cancelled, or could not begin', async () => {
    const page = openPage()
    const sessionId = await sessionOf(page)
    const abort = new AbortController()
    const paths = [await send('a.wav', take(60)), await send('b.wav', take(60))]
    const files = paths.map((path) => ({ path }))
    const imported = page.client.importTakes({ sessionId, files, ...SETTINGS }, { signal: abort.signal })
    abort.abort()
    await expect(imported).rejects.toMatchObject({ code: 'cancelled' })
    expect(paths.map(isThere)).toEqual([false, false])

    const path = await send('c.wav', take(1))
    const nowhere = page.client.importTakes({ sessionId: 999, files: [{ path }], ...SETTINGS })
    await expect(nowhere).rejects.toMatchObject({ code: 'not-found' })
    expect(isThere(path)).toBe(false)
  })

  it('goes when its page drops it', async () => {
    const page = openPage()
    const path = await send('a.wav', take(1))
    await page.client.discardUploads({ paths: [path, '/no/such/file.wav', host.workplace.catalogue.path] })
    expect(isThere(path)).toBe(false)
    expect(existsSync(host.workplace.catalogue.path)).toBe(true)
  })

  it('goes with its page and no other', async () => {
    const [page, other] = [openPage(), openPage()]
    const path = await send('a.wav', take(1))
    await page.client.bindUploadToPage({ path })
    other.leave()
    expect(isThere(path)).toBe(true)
    page.leave()
    expect(isThere(path)).toBe(false)
  })

  it('is taken in by an import that runs while its page goes', async () => {
    const page = openPage()
    const sessionId = await sessionOf(page)
    const path = await send('a.wav', take(20))
    await page.client.bindUploadToPage({ path })
    page.client.importTakes({ sessionId, files: [{ path }], ...SETTINGS }).catch(() => {})
    await openPage().client.listArtists({})
    page.leave()
    expect(isThere(path)).toBe(true)
    await vi.waitFor(
      () => expect(host.workplace.backgroundTasks.list()).toMatchObject([{ hasEnded: true }]),
      30_000,
    )
    expect(existsSync(path)).toBe(true)
    expect(host.workplace.catalogue.takes.listOfSession(sessionId)).toHaveLength(1)
  })
})

describe('what a program that was killed has left of files that were sent', () => {
  it('is removed by the next start, except for what became a take', async () => {
    const served = await serveHost()
    const page = await served.openWindow()
    const sessionId = await sessionOf(page)
    const paths: string[] = []
    for (const name of ['taken.wav', 'left.wav']) {
      const { body } = await served.askFromWindow({ method: 'PUT', path: `/incoming/${name}`, body: take(1) })
      paths.push((JSON.parse(body.toString()) as { path: string }).path)
    }
    await page.client.importTakes({ sessionId, files: [{ path: paths[0] }], ...SETTINGS })
    served.signal('SIGKILL')
    await vi.waitFor(async () => expect(await served.isWell().catch(() => false)).toBe(false), 20_000)
    expect(paths.map((path) => existsSync(path))).toEqual([true, true])

    const catalogue = join(served.folder, 'catalogue.sqlite')
    // Another catalogue's start sweeps as well, and does not know what became of this one's files.
    await openWorkplace(join(served.folder, 'other', 'catalogue.sqlite')).close()
    expect(paths.map((path) => existsSync(path))).toEqual([true, true])
    await openWorkplace(catalogue).close()
    expect(paths.map((path) => existsSync(path))).toEqual([true, false])
    expect(readdirSync(join(served.folder, 'incoming'))).toHaveLength(1)
    await served.end()
  })

  it('is removed by a program that ends as it should', async () => {
    const host = await openHost()
    const { body } = await host.askFromWindow({ method: 'PUT', path: '/incoming/a.wav', body: take(1) })
    const { path } = JSON.parse(body.toString()) as { path: string }
    expect(existsSync(path)).toBe(true)
    await host.workplace.close()
    expect(existsSync(path)).toBe(false)
    await host.close()
  })
})
