// One suite over each way that a window and the services can be joined: in memory, by the
// loopback host's WebSocket, by Electron's messages. Both ends are the program's own.

import { getEventListeners, once } from 'node:events'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, afterEach, describe, expect, it, vi } from 'vitest'
import { WebSocket } from 'ws'
import { Failure } from '../../app/contract/failure.ts'
import type { EventName, EventOf } from '../../app/contract/wire/commands.ts'
import { type Connection, connect } from '../../app/contract/wire/connect.ts'
import { PAGE_KEY_ITEM } from '../../app/contract/wire/page-key.ts'
import type { Port } from '../../app/contract/wire/port.ts'
import { type Subscribe, serve } from '../../app/contract/wire/serve.ts'
import { acceptPages } from '../../app/hosts/electron/ipc-port.ts'
import { startLoopbackHost } from '../../app/hosts/loopback/loopback-host.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { openBridge, type PreloadBridge } from '../../renderer/state/bridge.ts'
import { electron, resetElectron } from '../hosts/electron/fake-state.ts'
import { FakeSession, FakeWebContents } from '../hosts/electron/fake-window.ts'
import { openKeys } from '../hosts/loopback/open-host.ts'
import { checkTakesUnharmed } from '../unharmed-takes.ts'
import { handlersForTest, happened } from './handlers-for-test.ts'
import { createMemoryPorts } from './memory-ports.ts'

/** As the preload script names it, which no other file can import. */
const PORT_CHANNEL = 'takeloft-port'

vi.mock('electron', () => import('../hosts/electron/fake-electron.ts'))
// The loopback host makes its own handlers; here it serves the ones of this suite.
vi.mock('../../app/services/handlers.ts', async () => {
  const { handlersForTest: handlers } = await import('./handlers-for-test.ts')
  return { createHandlers: () => handlers }
})

interface Joined {
  readonly port: Port
  emit<E extends EventName>(name: E, data: EventOf<E>): void
  /** Errors that the services' side logged as its own. */
  readonly unexpected: unknown[]
  /** The services go away from the window, or the window from them. */
  close(): void | Promise<void>
}

function events(): { subscribe: Subscribe; emit: Joined['emit'] } {
  const listeners = new Set<Parameters<Subscribe>[0]>()
  return {
    subscribe(hear) {
      listeners.add(hear)
      return () => listeners.delete(hear)
    },
    emit(name, data) {
      for (const hear of listeners) hear(name, data)
    },
  }
}

function joinInMemory(): Joined {
  const { window, services, close } = createMemoryPorts()
  const { subscribe, emit } = events()
  const unexpected: unknown[] = []
  serve(services, handlersForTest, subscribe, (error) => unexpected.push(error))
  return { port: window, emit, unexpected, close }
}

const folder = mkdtempSync(join(tmpdir(), 'takeloft-ports-'))
const workplace = openWorkplace(join(folder, 'catalogue.sqlite'))
afterAll(async () => {
  checkTakesUnharmed(workplace.catalogue.path)
  await workplace.close()
  rmSync(folder, { recursive: true, force: true })
})

async function joinByWebSocket(): Promise<Joined> {
  const unexpected: unknown[] = []
  const host = await startLoopbackHost(workplace, { port: 0, log: (message) => unexpected.push(message) })
  const { cookie, pageKey } = await openKeys(host.address)
  const { origin } = new URL(host.address)
  // The window's own end, with what a browser adds by itself.
  vi.stubGlobal('window', { location: { href: `${origin}/` } })
  vi.stubGlobal('localStorage', { getItem: (name: string) => (name === PAGE_KEY_ITEM ? pageKey : null) })
  vi.stubGlobal(
    'WebSocket',
    class extends WebSocket {
      constructor(address: URL, protocols: string[]) {
        super(address, protocols, { headers: { cookie, origin } })
      }
    },
  )
  return { port: openBridge().port, emit: workplace.emit, unexpected, close: () => host.close() }
}

async function joinByElectron(): Promise<Joined> {
  const contents = new FakeWebContents(new FakeSession())
  resetElectron()
  electron.page = contents
  // Once for each page, as Electron runs it; a page knows the window only through what it exposes.
  vi.resetModules()
  await import('../../app/hosts/electron/preload.ts')
  const takeloftBridge = electron.exposed.get('takeloftBridge') as PreloadBridge
  vi.stubGlobal('window', { takeloftBridge })
  const { subscribe, emit } = events()
  const unexpected: unknown[] = []
  acceptPages(contents as never, (port) =>
    serve(port, handlersForTest, subscribe, (error) => unexpected.push(error)),
  )
  return {
    port: openBridge().port,
    emit,
    unexpected,
    close: () => void contents.emit('render-process-gone', {}, { reason: 'killed' }),
  }
}

const PLAYBACK = { target: { kind: 'take', takeId: 1, sampleRateHz: 48_000 }, draft: null } as const

const PORTS = [
  { name: 'in memory', joinPort: joinInMemory },
  { name: 'by the loopback host’s WebSocket', joinPort: joinByWebSocket },
  { name: 'by Electron’s messages', joinPort: joinByElectron },
]

let joined: Joined | undefined
const openBy = async (joinPort: () => Joined | Promise<Joined>): Promise<Connection & Joined> => {
  joined = await joinPort()
  return { ...joined, ...connect(joined.port) }
}
afterEach(async () => {
  await joined?.close()
  vi.unstubAllGlobals()
})

describe.each(PORTS)('a window joined $name', ({ joinPort }) => {
  const open = () => openBy(joinPort)

  it('gets the answer to what it asks', async () => {
    const { client } = await open()
    expect(await client.createArtist({ name: 'Maren Holt', note: '' })).toEqual({
      id: 7,
      name: 'Maren Holt',
      note: '',
    })
  })

  it('gets each answer to its own question', async () => {
    const { client } = await open()
    const names = ['Ada', 'Bo', 'Cy', 'Di']
    const artists = await Promise.all(names.map((name) => client.createArtist({ name, note: name })))
    expect(artists.map(({ name }) => name)).toEqual(names)
  })

  it('gets a failure as a Failure with its code, sentence and details', async () => {
    const { client } = await open()
    const error = await client.openSession({ id: 31 }).catch((thrown: unknown) => thrown)
    expect(error).toBeInstanceOf(Failure)
    expect((error as Failure).toData()).toEqual({
      code: 'not-found',
      message: 'There is no session 31; choose another.',
      details: { id: 31, table: 'sessions' },
    })
    expect(joined?.unexpected).toEqual([])
  })

  it('gets a mistake of the program as "unexpected", which is logged on the other side', async () => {
    const { client } = await open()
    await expect(client.listMics({})).rejects.toMatchObject({
      code: 'unexpected',
      message: expect.stringContaining('curve is undefined'),
    })
    expect(String(joined?.unexpected[0])).toContain('curve is undefined')
  })

  it('hears progress before the answer', async () => {
    const { client } = await open()
    const heard: unknown[] = []
    const outcome = await client.bounceSession(
      { sessionId: 1, folder: '/out', encoding: 'pcm-24', layerStems: false },
      { onProgress: (fraction, doing) => heard.push([fraction, doing]) },
    )
    expect(heard).toEqual([
      [0.25, 'Rendering lead'],
      [1, 'Writing the manifest'],
    ])
    expect(outcome.manifest).toBe('/out/manifest.json')
  })

  it('cancels what it has asked for, and nothing else', async () => {
    const { client } = await open()
    const abort = new AbortController()
    const waiting = once(happened, 'waiting')
    const verified = client.verifyBounce({ manifestPath: '/a.json' }, { signal: abort.signal })
    await waiting
    abort.abort()
    await expect(verified).rejects.toMatchObject({ code: 'cancelled' })
    expect(await client.createArtist({ name: 'still there', note: '' })).toMatchObject({ id: 7 })
  })

  it('never sends what was cancelled before it was asked', async () => {
    const { client } = await open()
    const asked = vi.fn()
    happened.on('waiting', asked)
    const verified = client.verifyBounce({ manifestPath: '/a.json' }, { signal: AbortSignal.abort() })
    await expect(verified).rejects.toMatchObject({ code: 'cancelled' })
    await client.createArtist({ name: 'after it', note: '' })
    happened.off('waiting', asked)
    expect(asked).not.toHaveBeenCalled()
  })

  it('leaves nothing on a signal that outlives the call, whether it is done or has failed', async () => {
    const { client } = await open()
    const { signal } = new AbortController()
    await client.createArtist({ name: 'done', note: '' }, { signal })
    await client.openSession({ id: 31 }, { signal }).catch(() => {})
    expect(getEventListeners(signal, 'abort')).toEqual([])
  })

  it('hears events until it stops listening', async () => {
    const { client, on, emit } = await open()
    await client.createArtist({ name: 'awake', note: '' })
    const heard: unknown[] = []
    const first = new Promise<void>((resolve) => {
      const stop = on('catalogueChanged', ({ subjects }) => {
        heard.push(subjects)
        stop()
        resolve()
      })
    })
    emit('catalogueChanged', { subjects: ['takes', 'ledger'] })
    await first
    emit('catalogueChanged', { subjects: ['mics'] })
    await client.createArtist({ name: 'later', note: '' })
    expect(heard).toEqual([['takes', 'ledger']])
  })

  it('is told in a sentence what is wrong with its input', async () => {
    const { client } = await open()
    await expect(client.createArtist({ name: '   ', note: '' })).rejects.toMatchObject({
      code: 'invalid-input',
      message: 'Invalid input for createArtist: at name: a name cannot be empty.',
    })
  })

  it('is told that a command does not exist', async () => {
    const { port } = await open()
    const answer = new Promise((resolve) => port.listen(resolve, () => {}))
    port.post({ type: 'ask', id: 99, command: 'constructor', input: {} })
    expect(await answer).toMatchObject({
      type: 'failed',
      id: 99,
      failure: { code: 'invalid-input', message: 'There is no command "constructor".' },
    })
  })

  it('is told so when it asks without an input', async () => {
    const { port } = await open()
    const answer = new Promise((resolve) => port.listen(resolve, () => {}))
    port.post({ type: 'ask', id: 99, command: 'createArtist' })
    expect(await answer).toMatchObject({
      type: 'failed',
      id: 99,
      failure: {
        code: 'invalid-input',
        message: expect.stringMatching(/^Invalid input for createArtist: /),
      },
    })
  })

  it('has a thousand calls running at most, and is told so by the next', async () => {
    const { client } = await open()
    const abort = new AbortController()
    const ask = () => client.verifyBounce({ manifestPath: '/a.json' }, { signal: abort.signal })
    const running = Array.from({ length: 1_000 }, ask)
    await expect(ask()).rejects.toMatchObject({
      code: 'conflict',
      message: 'This window is already waiting for 1000 answers; reload it, then try again.',
    })
    abort.abort()
    for (const one of await Promise.allSettled(running)) {
      expect(one).toMatchObject({ status: 'rejected', reason: { code: 'cancelled' } })
    }
    expect(await client.createArtist({ name: 'after all', note: '' })).toMatchObject({ name: 'after all' })
  })

  it('cannot have two calls under one number, of which a cancel would leave one running', async () => {
    const { port, client } = await open()
    let begun = 0
    const count = () => begun++
    happened.on('waiting', count)
    const cancelled = once(happened, 'cancelled')
    const ask = { type: 'ask', id: 500, command: 'verifyBounce', input: { manifestPath: '/a.json' } } as const
    port.post(ask)
    port.post(ask)
    port.post({ type: 'cancel', id: 500 })
    await cancelled
    await client.createArtist({ name: 'behind them', note: '' })
    happened.off('waiting', count)
    expect(begun).toBe(1)
  })

  it('is not disturbed by messages that are none', async () => {
    const { port, client } = await open()
    port.post('nonsense' as never)
    port.post({ type: 'ask', id: 'seven' } as never)
    port.post({ type: 'cancel', id: 12345 })
    expect(await client.createArtist({ name: 'unmoved', note: '' })).toMatchObject({ name: 'unmoved' })
  })

  it('leaves nothing running behind it when it is gone', async () => {
    const { client, close } = await open()
    const waiting = once(happened, 'waiting')
    const cancelled = once(happened, 'cancelled')
    client.verifyBounce({ manifestPath: '/a.json' }).catch(() => {})
    await waiting
    await close()
    await cancelled
  })

  it('ends what it has opened when it is gone, and not before', async () => {
    const { client, close } = await open()
    const closed = vi.fn()
    happened.on('closed', closed)
    await client.openPlayback(PLAYBACK)
    await client.openPlayback(PLAYBACK)
    await client.createArtist({ name: 'still there', note: '' })
    expect(closed).not.toHaveBeenCalled()
    await close()
    await vi.waitFor(() => expect(closed).toHaveBeenCalledTimes(2))
    happened.off('closed', closed)
  })
})

it('a page that Electron reloads ends what it has opened as soon as the next one speaks', async () => {
  joined = await joinByElectron()
  const { client } = connect(joined.port)
  await client.openPlayback(PLAYBACK)
  const closed = once(happened, 'closed')
  // The page after a reload has a name of its own.
  const contents = electron.page as FakeWebContents
  const next = { type: 'ask', id: 1, command: 'createArtist', input: { name: 'after it', note: '' } }
  contents.receive(contents.mainFrame, PORT_CHANNEL, 'another page', next)
  await closed
})

describe('a window joined by the loopback host’s WebSocket', () => {
  it('is told that it asks too much at once, and what runs for it goes on', async () => {
    const { client } = await openBy(joinByWebSocket)
    const waiting = once(happened, 'waiting')
    const abort = new AbortController()
    const verified = client.verifyBounce({ manifestPath: '/a.json' }, { signal: abort.signal })
    await waiting
    // 6 million letters of three bytes each in UTF-8.
    await expect(client.createArtist({ name: '\u20ac'.repeat(6_000_000), note: '' })).rejects.toMatchObject({
      code: 'invalid-input',
      message: expect.stringMatching(/too large \(limit 16 MB\)/),
    })
    expect(await client.createArtist({ name: 'less', note: '' })).toMatchObject({ name: 'less' })
    abort.abort()
    await expect(verified).rejects.toMatchObject({ code: 'cancelled' })
  })

  it('waits for 64 MB of its questions at most, and is told so by the next', async () => {
    const { client, port } = await openBy(joinByWebSocket)
    const abort = new AbortController()
    const first = client.verifyBounce({ manifestPath: '/a.json' }, { signal: abort.signal })
    const heard: unknown[] = []
    port.listen(
      (message) => heard.push(message),
      () => {},
    )
    // What no schema knows is dropped, but not before the call has ended.
    const input = { manifestPath: '/a.json', more: 'x'.repeat(15e6) }
    for (let id = 1001; id <= 1005; id++) port.post({ type: 'ask', id, command: 'verifyBounce', input })
    await vi.waitFor(() => expect(heard).toHaveLength(1), 60_000)
    expect(heard).toMatchObject([
      { type: 'failed', id: 1005, failure: { code: 'conflict', message: expect.stringMatching(/64 MB/) } },
    ])
    for (let id = 1001; id <= 1004; id++) port.post({ type: 'cancel', id })
    await vi.waitFor(() => expect(heard).toHaveLength(5), 60_000)
    port.post({ type: 'ask', id: 1006, command: 'createArtist', input: { name: 'x', note: '' } })
    await vi.waitFor(() => expect(heard.at(-1)).toMatchObject({ type: 'done', id: 1006 }))
    abort.abort()
    await expect(first).rejects.toMatchObject({ code: 'cancelled' })
  }, 180_000)
})

// Electron's services live as long as their window does, so no page of it ever outlives them.
describe.each(PORTS.slice(0, 2))('a window joined $name', ({ joinPort }) => {
  it('has every open and every later call rejected once the services are gone', async () => {
    const { client, close } = await openBy(joinPort)
    const waiting = once(happened, 'waiting')
    const { signal } = new AbortController()
    const verified = client.verifyBounce({ manifestPath: '/a.json' }, { signal })
    const rejected = expect(verified).rejects.toMatchObject({
      code: 'unexpected',
      message: expect.stringMatching(/connection to Takeloft has ended; reload the window/),
    })
    await waiting
    await close()
    await rejected
    expect(getEventListeners(signal, 'abort')).toEqual([])
    await expect(client.createArtist({ name: 'too late', note: '' })).rejects.toBeInstanceOf(Failure)
  })
})
