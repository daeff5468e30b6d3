// Bounces, imports and the demo belong to the program: a page that goes does not cancel them, and the
// page after it finds them, hears how far they are, may cancel them, and is told what came of them.

import { existsSync, mkdirSync, readdirSync } from 'node:fs'
import { join, resolve as resolvePath } from 'node:path'
import { describe, expect, it } from 'vitest'
import { Failure } from '../../app/contract/failure.ts'
import { PAGE_GONE } from '../../app/contract/wire/background-tasks.ts'
import { type Connection, connect } from '../../app/contract/wire/connect.ts'
import { serve } from '../../app/contract/wire/serve.ts'
import { createBackgroundTasks } from '../../app/services/background-tasks.ts'
import { createMemoryPorts } from '../contract/memory-ports.ts'
import { whiteNoise } from '../signals/noise.ts'
import { openWorkshop, type Workshop, writeTake } from './workshop.ts'

/** No limit of its own: the test's ends it. */
const WHEN_DONE = { timeout: 60_000 }

interface Page extends Connection {
  leave(): void
}

/** A page of this workplace, with the program's own two ends of a port. */
function openPage({ workplace, handlers }: Workshop): Page {
  const { window, services, close } = createMemoryPorts()
  serve(services, handlers, workplace.subscribe, (error) => {
    throw error
  })
  return { ...connect(window), leave: close }
}

/** One layer that takes long enough to bounce for a page to go and another to come. */
async function openSong(): Promise<Workshop & { sessionId: number; out: string }> {
  const workshop = openWorkshop()
  const session = await workshop.createSession()
  const path = writeTake(join(workshop.folder, 'lead.wav'), [whiteNoise(48_000 * 15, 7)])
  const [take] = await workshop.takeIn(session, path)
  await workshop.place(session, take)
  mkdirSync(join(workshop.folder, 'out'))
  return { ...workshop, sessionId: session.id, out: join(workshop.folder, 'out', 'stems') }
}

/** Asks for a bounce; resolves once it renders. */
const beginBounce = (page: Page, sessionId: number, folder: string): Promise<void> =>
  new Promise((resolve) => {
    page.client
      .bounceSession(
        { sessionId, folder, encoding: 'pcm-24', layerStems: false },
        { onProgress: (_fraction, doing) => doing === 'Rendering the stems' && resolve() },
      )
      .catch(() => {})
  })

describe('a bounce whose page is gone', () => {
  it('goes on, and the next page follows it to its end', async () => {
    const song = await openSong()
    const before = openPage(song)
    await beginBounce(before, song.sessionId, song.out)
    before.leave()

    const after = openPage(song)
    const [act, ...further] = await after.client.listBackgroundTasks({})
    expect(further).toEqual([])
    expect(act).toMatchObject({ subject: { kind: 'bounce', songTitle: 'Invented Song' }, hasEnded: false })
    const heard: number[] = []
    const ended = await after.client.followBackgroundTask(
      { id: act.id },
      { onProgress: (fraction) => heard.push(fraction) },
    )
    expect(ended).toMatchObject({ kind: 'bounce', outcome: { manifest: join(song.out, 'manifest.json') } })
    expect(heard[0]).toBeGreaterThanOrEqual(act.fraction)
    expect(existsSync(join(song.out, 'manifest.json'))).toBe(true)
    expect(await after.client.listBounces({})).toHaveLength(1)
    expect(await after.client.listBackgroundTasks({})).toEqual([])
  })

  it('that has ended by then is told of once', async () => {
    const song = await openSong()
    const before = openPage(song)
    await beginBounce(before, song.sessionId, song.out)
    const [{ id }] = await before.client.listBackgroundTasks({})
    before.leave()
    await expect
      .poll(() => song.workplace.backgroundTasks.list(), WHEN_DONE)
      .toMatchObject([{ id, hasEnded: true }])

    const after = openPage(song)
    expect(await after.client.listBackgroundTasks({})).toMatchObject([{ id, hasEnded: true }])
    expect(await after.client.followBackgroundTask({ id })).toMatchObject({ kind: 'bounce' })
    expect(await after.client.listBackgroundTasks({})).toEqual([])
    await expect(after.client.followBackgroundTask({ id })).rejects.toMatchObject({ code: 'not-found' })
  })

  it('is cancelled by the page after it, and leaves nothing', async () => {
    const song = await openSong()
    const before = openPage(song)
    await beginBounce(before, song.sessionId, song.out)
    before.leave()
    const after = openPage(song)
    const [{ id }] = await after.client.listBackgroundTasks({})
    const abort = new AbortController()
    const followed = after.client.followBackgroundTask({ id }, { signal: abort.signal })
    abort.abort()
    await expect(followed).rejects.toMatchObject({ code: 'cancelled' })
    expect(readdirSync(join(song.folder, 'out'))).toEqual([])
    expect(await after.client.listBounces({})).toEqual([])
    expect(await after.client.listBackgroundTasks({})).toEqual([])
  })

  it('is cancelled by the end of the workplace, which waits until nothing is left of it', async () => {
    const song = await openSong()
    const page = openPage(song)
    await beginBounce(page, song.sessionId, song.out)
    await song.workplace.close()
    expect(readdirSync(join(song.folder, 'out'))).toEqual([])
  })
})

describe('a bounce whose page is there', () => {
  it('is cancelled by its own page', async () => {
    const song = await openSong()
    const page = openPage(song)
    const abort = new AbortController()
    let failure: unknown
    await new Promise<void>((resolve) => {
      page.client
        .bounceSession(
          { sessionId: song.sessionId, folder: song.out, encoding: 'pcm-24', layerStems: false },
          {
            signal: abort.signal,
            onProgress: (_fraction, doing) => doing === 'Rendering the stems' && abort.abort(),
          },
        )
        .catch((error: unknown) => {
          failure = error
        })
        .finally(resolve)
    })
    expect(failure).toMatchObject({ code: 'cancelled' })
    expect(readdirSync(join(song.folder, 'out'))).toEqual([])
    expect(await page.client.listBackgroundTasks({})).toEqual([])
  })

  it('is told of to its page alone, and is not kept for another', async () => {
    const song = await openSong()
    const page = openPage(song)
    await page.client.bounceSession({
      sessionId: song.sessionId,
      folder: song.out,
      encoding: 'pcm-24',
      layerStems: false,
    })
    expect(await openPage(song).client.listBackgroundTasks({})).toEqual([])
  })
})

describe('a bounce that a page asks for', () => {
  it('is refused where its folder is no full path, because a page has no folder to start from', async () => {
    const song = await openSong()
    const folder = 'stems of a page'
    await expect(
      openPage(song).client.bounceSession({
        sessionId: song.sessionId,
        folder,
        encoding: 'pcm-24',
        layerStems: false,
      }),
    ).rejects.toMatchObject({
      code: 'invalid-input',
      message: expect.stringMatching(/^stems of a page is not a full path; /),
    })
    expect(existsSync(resolvePath(folder))).toBe(false)
  })
})

describe('an import whose page is gone', () => {
  it('goes on, and the next page gets what came in', async () => {
    const workshop = openWorkshop()
    const session = await workshop.createSession()
    const paths = ['a', 'b', 'c', 'd'].map((name, seed) =>
      writeTake(join(workshop.folder, `${name}.wav`), [whiteNoise(48_000 * 5, seed)]),
    )
    const before = openPage(workshop)
    const files = paths.map((path) => ({ path }))
    await new Promise<void>((resolve) => {
      before.client
        .importTakes(
          { sessionId: session.id, files, voiceId: null, micId: null, curveId: null },
          { onProgress: () => resolve() },
        )
        .catch(() => {})
    })
    before.leave()
    const after = openPage(workshop)
    const [{ id, subject }] = await after.client.listBackgroundTasks({})
    expect(subject).toEqual({ kind: 'import', files: 4, sessionId: session.id })
    const ended = await after.client.followBackgroundTask({ id })
    expect(ended.kind === 'import' && ended.outcome.takes.map(({ name }) => name)).toEqual([
      'a',
      'b',
      'c',
      'd',
    ])
  })
})

describe('background tasks', () => {
  const call = (signal: AbortSignal) => ({ signal, report: () => {} })

  it('that fail without a page keep their failure for the next one', async () => {
    const acts = createBackgroundTasks()
    const page = new AbortController()
    const failing = acts.run(
      { kind: 'demo' },
      call(page.signal),
      async () => {
        throw new Failure('disk-full', 'The disk is full; free some space.')
      },
      () => ({ kind: 'demo', sessions: [] }),
    )
    page.abort(PAGE_GONE)
    await expect(failing).rejects.toMatchObject({ code: 'disk-full' })
    const [{ id, hasEnded }] = acts.list()
    expect(hasEnded).toBe(true)
    await expect(acts.follow(id, call(new AbortController().signal))).rejects.toMatchObject({
      message: 'The disk is full; free some space.',
    })
    expect(acts.list()).toEqual([])
  })

  it('keep the ends of the last twenty that nobody was told of', async () => {
    const acts = createBackgroundTasks()
    for (let k = 1; k <= 25; k++) {
      const page = new AbortController()
      page.abort(PAGE_GONE)
      await acts.run(
        { kind: 'import', files: k, sessionId: 1 },
        call(page.signal),
        async () => [],
        (sessions) => ({ kind: 'demo', sessions }),
      )
    }
    expect(acts.list().map(({ subject }) => subject)).toEqual(
      Array.from({ length: 20 }, (_, k) => ({ kind: 'import', files: k + 6, sessionId: 1 })),
    )
  })
})
