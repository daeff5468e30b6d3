// Playbacks belong to the page that opened them: they end with it, however it ends, and no
// other page reaches them. Pages are real WebSockets on the loopback host.

import { once } from 'node:events'
import { readdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { WebSocket } from 'ws'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { type Connection, connect } from '../../../app/contract/wire/connect.ts'
import { PAGE_KEY_HEADER } from '../../../app/contract/wire/page-key.ts'
import type { Message, Port } from '../../../app/contract/wire/port.ts'
import { playbackRoute } from '../../../app/contract/wire/sound-routes.ts'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { createPlaybackThread } from '../../../app/workers/playback-thread.ts'
import { askHost } from '../../hosts/loopback/ask-host.ts'
import { openKeys } from '../../hosts/loopback/open-host.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const LAYERS = 4

/** A session whose stack plays four takes. */
async function stackOf(shop: Workshop) {
  const session = await shop.createSession()
  const takes = await shop.takeIn(
    session,
    ...Array.from({ length: LAYERS }, (_, seed) =>
      writeTake(join(shop.folder, `${seed}.wav`), [whiteNoise(9600, seed + 1, 0.3)]),
    ),
  )
  for (const take of takes) await shop.place(session, take)
  return { target: { kind: 'stack', sessionId: session.id }, draft: null } as const
}

interface OpenedPage extends Connection {
  /** As a tab that is closed. */
  close(): void
  /** As a browser that has crashed. */
  crash(): void
}

async function openHost({ workplace }: Workshop) {
  const host = await startLoopbackHost(workplace, { port: 0, log: () => {} })
  onTestFinished(() => host.close())
  const { cookie, pageKey } = await openKeys(host.address)
  const { origin } = new URL(host.address)
  const headers = { cookie, origin, [PAGE_KEY_HEADER]: pageKey }
  return {
    async openPage(): Promise<OpenedPage> {
      const socket = new WebSocket(`${origin.replace('http', 'ws')}/port`, { headers })
      await once(socket, 'open')
      const port: Port = {
        post: (message: Message) => socket.send(JSON.stringify(message)),
        listen(hear, closed) {
          socket.on('message', (data: Buffer) => hear(JSON.parse(data.toString('utf8'))))
          socket.on('close', closed)
          return () => socket.removeAllListeners()
        },
      }
      return { ...connect(port), close: () => socket.close(), crash: () => socket.terminate() }
    },
    async spanOf(playbackId: string): Promise<{ status: number; code?: string }> {
      const path = playbackRoute(playbackId, 0, 480)
      const { status, body } = await askHost(origin, { path, headers })
      return status === 200 ? { status } : { status, code: JSON.parse(body.toString()).code }
    },
  }
}

const openFiles = (): number => readdirSync('/proc/self/fd').length

describe.skipIf(process.platform !== 'linux')('playbacks of pages that vanish', () => {
  it('are closed with their takes, after a hundred pages', async () => {
    const shop = openWorkshop()
    const source = await stackOf(shop)
    const { openPage, spanOf } = await openHost(shop)
    const first = await openPage()
    const { playbackId } = await first.client.openPlayback(source)
    const heldByOne = openFiles()
    await first.client.closePlayback({ playbackId })
    const before = openFiles()
    expect(heldByOne - before).toBeGreaterThanOrEqual(LAYERS)

    const ids: string[] = []
    for (let n = 0; n < 100; n++) {
      const page = await openPage()
      const opened = page.client.openPlayback(source).then(({ playbackId }) => ids.push(playbackId))
      if (n % 3 === 0) {
        // Gone while its playback is still being opened.
        opened.catch(() => {})
        await Promise.race([opened.catch(() => {}), new Promise((resolve) => setTimeout(resolve, n % 10))])
        page.crash()
        continue
      }
      await opened
      if (n % 3 === 1) page.close()
      else page.crash()
    }
    expect(ids.length).toBeGreaterThan(60)
    await vi.waitFor(() => expect(openFiles()).toBeLessThanOrEqual(before), {
      timeout: 20_000,
      interval: 100,
    })
    expect(await spanOf(ids[0])).toEqual({ status: 422, code: 'not-found' })
    expect(await spanOf(ids.at(-1)!)).toEqual({ status: 422, code: 'not-found' })
  })

  it('do not stay open where one of their takes cannot be opened', async () => {
    const shop = openWorkshop()
    const source = await stackOf(shop)
    const { openPage } = await openHost(shop)
    const { client } = await openPage()
    await client.closePlayback(await client.openPlayback(source))
    const before = openFiles()
    // Cut off in its header, which shows only when it is opened, after the others.
    const last = join(shop.folder, `${LAYERS - 1}.wav`)
    shop.tampered.add(last)
    writeFileSync(last, readFileSync(last).subarray(0, 40))
    // Between the look at the file and its opening; otherwise it counts as missing.
    Object.assign(shop.workplace.verifiedFiles, { stateOf: async () => 'there' })
    await expect(client.openPlayback(source)).rejects.toMatchObject({ code: 'damaged' })
    expect(openFiles()).toBeLessThanOrEqual(before)
  })
})

describe('a playback', () => {
  it('that is closed, or never was open, is not made by tuning', async () => {
    const shop = openWorkshop()
    const source = await stackOf(shop)
    const { openPage, spanOf } = await openHost(shop)
    const { client } = await openPage()
    const { playbackId } = await client.openPlayback(source)
    await client.tunePlayback({ playbackId, source })
    expect(await spanOf(playbackId)).toEqual({ status: 200 })
    await client.closePlayback({ playbackId })
    for (const id of [playbackId, 'no-such-playback']) {
      await expect(client.tunePlayback({ playbackId: id, source })).rejects.toMatchObject({
        code: 'not-found',
        message: 'This playback has been closed; start it again.',
      })
      expect(await spanOf(id)).toEqual({ status: 422, code: 'not-found' })
    }
  })

  it('that is closed while it is being tuned stays closed', async () => {
    const shop = openWorkshop()
    const source = await stackOf(shop)
    const { openPage, spanOf } = await openHost(shop)
    const { client } = await openPage()
    const { playbackId } = await client.openPlayback(source)
    const tuned = client.tunePlayback({ playbackId, source }).catch((error: Error) => error)
    await client.closePlayback({ playbackId })
    await tuned
    expect(await spanOf(playbackId)).toEqual({ status: 422, code: 'not-found' })
  })

  it('is not tuned, matched or closed by another page', async () => {
    const shop = openWorkshop()
    const source = await stackOf(shop)
    const { openPage, spanOf } = await openHost(shop)
    const [own, other] = [await openPage(), await openPage()]
    const { playbackId } = await own.client.openPlayback(source)
    const range = { playbackId, fromFrame: 0, toFrame: 9600, maxSeconds: 1 }
    await expect(other.client.tunePlayback({ playbackId, source })).rejects.toMatchObject({
      code: 'not-found',
    })
    await expect(other.client.matchPlayback(range)).rejects.toMatchObject({ code: 'not-found' })
    await other.client.closePlayback({ playbackId })
    other.close()
    expect(await own.client.matchPlayback(range)).toMatchObject({ differenceLu: expect.any(Number) })
    expect(await spanOf(playbackId)).toEqual({ status: 200 })
  })

  it('that a page forgets to close gives way to later ones', async () => {
    const shop = openWorkshop()
    const source = await stackOf(shop)
    const { openPage, spanOf } = await openHost(shop)
    const { client } = await openPage()
    const ids: string[] = []
    for (let n = 0; n < 6; n++) ids.push((await client.openPlayback(source)).playbackId)
    const states = await Promise.all(ids.map(async (id) => (await spanOf(id)).status))
    expect(states).toEqual([422, 422, 200, 200, 200, 200])
  })

  it('that no page opened lasts until it is closed', async () => {
    const shop = openWorkshop()
    const source = { ...(await stackOf(shop)), compare: null, lowerDb: 0, solo: null, tried: null }
    const { playbackId } = await shop.handlers.openPlayback(source, context)
    await shop.handlers.tunePlayback({ playbackId, source }, context)
    await shop.handlers.closePlayback({ playbackId }, context)
    await expect(shop.handlers.tunePlayback({ playbackId, source }, context)).rejects.toMatchObject({
      code: 'not-found',
    })
  })

  it('with solo holds the soloed layers alone, muted or not, in a song as long as before', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const tone = (level: number, frames: number) => new Float64Array(frames).fill(level)
    const [short, long] = await shop.takeIn(
      session,
      writeTake(join(shop.folder, 'short.wav'), [tone(0.25, 4800)]),
      writeTake(join(shop.folder, 'long.wav'), [tone(0.5, 9600)]),
    )
    await shop.place(session, short)
    await shop.place(session, long)
    const [soloed] = shop.workplace.catalogue.layers.listOfSession(session.id)
    await shop.handlers.updateLayer({ id: soloed.id, changes: { muted: true } }, context)
    const target = { kind: 'stack', sessionId: session.id } as const
    const source = { target, draft: null, compare: null, lowerDb: 0, solo: [soloed.id], tried: null }
    const { playbackId, frames } = await shop.handlers.openPlayback(source, context)
    expect(frames).toBe(9600)
    const span = await shop.workplace.playback.ask('span', { playbackId, fromFrame: 2400, frames: 4800 })
    // -3.01 dB at the centre; the muted layer alone until its end, then silence.
    expect(span[0]).toBeCloseTo(0.25 * Math.SQRT1_2, 5)
    expect(span[2399]).toBeCloseTo(0.25 * Math.SQRT1_2, 5)
    expect(Math.abs(span[2500])).toBe(0)
    // It is for listening only: the muted layer is in no bounce.
    const folder = join(shop.folder, 'stems')
    await shop.handlers.bounceSession(
      { sessionId: session.id, folder, encoding: 'pcm-24', layerStems: false },
      context,
    )
    const manifest = JSON.parse(readFileSync(join(folder, 'manifest.json'), 'utf8'))
    expect(manifest.plan.layers.map(({ take }: { take: { frames: number } }) => take.frames)).toEqual([9600])
  })

  it('lowers a draft of a take behind its stages, by as much as asked for and in no other way', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const path = writeTake(join(shop.folder, 'loud.wav'), [whiteNoise(96_000, 5, 0.5)])
    const [take] = await shop.takeIn(session, path)
    const { opto } = defaultStages
    const stages = [opto, { ...opto, settings: { ...opto.settings, makeUpDb: 6 } }]
    const target = { kind: 'take', takeId: take.id, sampleRateHz: 48_000 } as const
    const played = async (lowerDb: number) => {
      const source = {
        target,
        draft: { groupId: null, stages },
        compare: null,
        lowerDb,
        solo: null,
        tried: null,
      }
      const { playbackId } = await shop.handlers.openPlayback(source, context)
      const span = await shop.workplace.playback.ask('span', { playbackId, fromFrame: 0, frames: 48_000 })
      return span.subarray(2 * 48_000, 3 * 48_000)
    }
    const [whole, lowered] = [await played(0), await played(7.5)]
    const gain = 10 ** (-7.5 / 20)
    expect(whole.some((sample) => Math.abs(sample) > 0.01)).toBe(true)
    expect(lowered.every((sample, i) => Math.abs(sample - gain * whole[i]) < 1e-6)).toBe(true)
  })

  it('of a call that was cancelled on its way is not left open', async () => {
    const shop = openWorkshop()
    const source = { ...(await stackOf(shop)), compare: null, lowerDb: 0, solo: null, tried: null }
    const asked: string[] = []
    const { playback } = shop.workplace
    const ask = playback.ask.bind(playback)
    vi.spyOn(playback, 'ask').mockImplementation(async (act, input) => {
      asked.push(act)
      const answer = await ask(act, input)
      if (act === 'open') abort.abort()
      return answer
    })
    const abort = new AbortController()
    const opened = shop.handlers.openPlayback(source, { ...context, signal: abort.signal })
    await expect(opened).rejects.toMatchObject({ code: 'cancelled' })
    expect(asked).toEqual(['open', 'close'])
  })
})

it('a take that is cut short while it plays ends its own playback and no other', async () => {
  const shop = openWorkshop()
  const source = await stackOf(shop)
  const long = writeTake(join(shop.folder, 'long.wav'), [whiteNoise(60 * 48_000, 9, 0.3)])
  const session = await shop.createSession()
  const [take] = await shop.takeIn(session, long)
  const { openPage, spanOf } = await openHost(shop)
  const { client } = await openPage()
  const other = await client.openPlayback(source)
  const target = { kind: 'take', takeId: take.id, sampleRateHz: 48_000 } as const
  const { playbackId } = await client.openPlayback({ target, draft: null })
  shop.tampered.add(long)
  truncateSync(long, 10_000)
  // Answered once the part that renders ahead has come to the cut.
  const range = { fromFrame: 0, toFrame: 60 * 48_000, maxSeconds: 60 }
  await client.matchPlayback({ playbackId, ...range })
  expect(await spanOf(playbackId)).toEqual({ status: 422, code: 'changed' })
  expect(await spanOf(other.playbackId)).toEqual({ status: 200 })
})

it('a match that is cancelled ends before the scout is through, and the playback goes on', async () => {
  const shop = openWorkshop()
  const long = writeTake(join(shop.folder, 'long.wav'), [whiteNoise(20 * 48_000, 9, 0.3)])
  const session = await shop.createSession()
  const [take] = await shop.takeIn(session, long)
  const { openPage, spanOf } = await openHost(shop)
  const { client } = await openPage()
  const target = { kind: 'take', takeId: take.id, sampleRateHz: 48_000 } as const
  const { playbackId } = await client.openPlayback({ target, draft: null })
  const abort = new AbortController()
  const range = { playbackId, fromFrame: 0, toFrame: 20 * 48_000, maxSeconds: 20 }
  const match = client.matchPlayback(range, { signal: abort.signal })
  abort.abort()
  await expect(match).rejects.toMatchObject({ code: 'cancelled' })
  expect(await spanOf(playbackId)).toEqual({ status: 200 })
})

it('the playback thread does not start again for a page that ends after it', async () => {
  const thread = createPlaybackThread()
  await thread.ask('close', { playbackId: 'a' })
  await thread.close()
  await expect(thread.ask('close', { playbackId: 'a' })).rejects.toMatchObject({ code: 'unexpected' })
})

it('knows from its calls whether something plays, so that measuring leaves the processors to it', async () => {
  const thread = createPlaybackThread()
  const clock = vi.spyOn(performance, 'now').mockReturnValue(60_000)
  try {
    expect(thread.isInUse()).toBe(false)
    await thread.ask('close', { playbackId: 'a' })
    expect(thread.isInUse()).toBe(true)
    clock.mockReturnValue(62_001)
    expect(thread.isInUse()).toBe(false)
  } finally {
    clock.mockRestore()
    await thread.close()
  }
})
