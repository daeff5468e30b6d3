// Takes whose files were moved: the others go on sounding, what needs all of them says which are missing, and
// they are found again by their hash, which sha256sum of the coreutils gives as well.

import { execFileSync } from 'node:child_process'
import { mkdirSync, renameSync, rmSync, symlinkSync, truncateSync } from 'node:fs'
import { basename, join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { Take } from '../../../app/contract/entities.ts'
import { rawOn } from '../../db/raw-connection.ts'
import { hasTool } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

/** Three layers of one second; `lose` moves the files of takes to other names below `elsewhere/`. */
async function threeTakes() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const paths = ['a', 'b', 'c'].map((name, seed) =>
    writeTake(join(shop.folder, `${name}.wav`), [whiteNoise(48_000, seed + 1, 0.3)]),
  )
  const takes = await shop.takeIn(session, ...paths)
  for (const take of takes) await shop.place(session, take, 'Lead', { name: take.name })
  const elsewhere = join(shop.folder, 'elsewhere')
  const lose = (...lost: Take[]): string[] =>
    lost.map((take) => {
      mkdirSync(join(elsewhere, 'deep'), { recursive: true })
      const to = join(elsewhere, 'deep', `moved ${basename(take.path)}`)
      renameSync(join(shop.folder, take.path), to)
      return to
    })
  const { handlers } = shop
  const bounce = () =>
    handlers.bounceSession(
      { sessionId: session.id, folder: join(shop.folder, 'out'), encoding: 'pcm-24', layerStems: false },
      context,
    )
  const stack = {
    target: { kind: 'stack', sessionId: session.id },
    draft: null,
    compare: null,
    lowerDb: 0,
    solo: null,
    tried: null,
  } as const
  const missing = () => handlers.listMissingTakes({ sessionId: session.id }, context)
  const search = (folder: string, call = context) =>
    handlers.searchMissingTakes({ sessionId: session.id, folder }, call)
  return { shop, session, takes, handlers, elsewhere, lose, bounce, stack, missing, search }
}

/** What a playback of all three renders, as frames × (dry left, dry right, processed left, processed right). */
async function heard({ shop, stack }: Awaited<ReturnType<typeof threeTakes>>): Promise<Float32Array> {
  const { playbackId } = await shop.handlers.openPlayback(stack, context)
  return shop.workplace.playback.ask('span', { playbackId, fromFrame: 0, frames: 4800 })
}

describe('while takes are missing', () => {
  it('they are listed with the path at which they were', async () => {
    const { takes, lose, missing, shop } = await threeTakes()
    expect(await missing()).toEqual([])
    lose(takes[1])
    expect(await missing()).toEqual([{ id: takes[1].id, path: join(shop.folder, 'b.wav'), state: 'missing' }])
  })

  it('the others sound as if the missing layers were muted, for as long as before', async () => {
    const three = await threeTakes()
    const { shop, takes, lose, stack, session } = three
    await shop.place(session, takes[1], 'Doubles', { offsetSamples: 96_000, name: 'late' })
    const before = await shop.handlers.openPlayback(stack, context)
    lose(takes[1])
    const without = await heard(three)
    expect(await shop.handlers.openPlayback(stack, context)).toMatchObject({
      startFrame: before.startFrame,
      frames: before.frames,
    })
    for (const layer of shop.workplace.catalogue.layers.listOfSession(session.id)) {
      if (layer.takeId === takes[1].id) {
        await shop.handlers.updateLayer({ id: layer.id, changes: { muted: true } }, context)
      }
    }
    expect(without).toEqual(await heard(three))
    expect(without.some((sample) => sample !== 0)).toBe(true)
  })

  it('a missing layer on its own, and a stack of missing ones, say so', async () => {
    const { shop, session, takes, lose, stack, handlers } = await threeTakes()
    const [layer] = shop.workplace.catalogue.layers.listOfSession(session.id)
    lose(takes[0])
    const alone = { ...stack, target: { kind: 'layer', layerId: layer.id } } as const
    await expect(handlers.openPlayback(alone, context)).rejects.toThrow(/take a is no longer at .*a\.wav/)
    lose(takes[1], takes[2])
    await expect(handlers.openPlayback(stack, context)).rejects.toThrow(/nothing to hear, because 3 takes/)
  })

  it('the stack is measured without them, which the answer says', async () => {
    const { takes, lose, handlers, session } = await threeTakes()
    expect((await handlers.measureStack({ sessionId: session.id }, context)).missing).toEqual([])
    lose(takes[0], takes[2])
    const measured = await handlers.measureStack({ sessionId: session.id }, context)
    expect(measured.missing).toEqual(['a', 'c'])
    expect(measured.integratedLufs).not.toBeNull()
  })

  it('a bounce is refused and names all of them; muted ones are not needed', async () => {
    const { shop, takes, lose, bounce, session, handlers } = await threeTakes()
    lose(takes[0], takes[2])
    const failure = await bounce().catch((error: unknown) => error)
    expect(failure).toMatchObject({ code: 'vanished', details: { missing: 2 } })
    expect(String(failure)).toContain(
      `Nothing was bounced, because 2 takes are missing: a (last at ${join(shop.folder, 'a.wav')}) and c (last at ${join(shop.folder, 'c.wav')}).`,
    )
    for (const layer of shop.workplace.catalogue.layers.listOfSession(session.id)) {
      if (layer.takeId !== takes[1].id) {
        await handlers.updateLayer({ id: layer.id, changes: { muted: true } }, context)
      }
    }
    expect((await bounce()).stems.length).toBeGreaterThan(0)
  })

  it('a bounce made before verifies once they are found elsewhere', async () => {
    const { takes, lose, bounce, handlers } = await threeTakes()
    const { manifest } = await bounce()
    const [path] = lose(takes[0])
    const verify = () => handlers.verifyBounce({ manifestPath: manifest }, context)
    await expect(verify()).rejects.toThrow(/^Nothing was verified, because 1 take is missing: a /)
    await handlers.relinkTakes({ takes: [{ id: takes[0].id, path }] }, context)
    expect((await verify()).differing).toEqual([])
  })
})

describe('a search in a folder', () => {
  it.skipIf(!hasTool('sha256sum'))('finds takes by their bytes, below it and under other names', async () => {
    const { shop, takes, lose, search, elsewhere, missing } = await threeTakes()
    const [a, c] = lose(takes[0], takes[2])
    // Of the same size, and of another; a circle of links.
    writeTake(join(elsewhere, 'a.wav'), [whiteNoise(48_000, 9, 0.3)])
    writeTake(join(elsewhere, 'short.wav'), [whiteNoise(480, 1, 0.3)])
    symlinkSync(elsewhere, join(elsewhere, 'deep', 'circle'))
    const { found, files, unread } = await search(elsewhere)
    expect(files).toBe(4)
    expect(unread).toBe(0)
    expect(found.toSorted((x, y) => x.id - y.id)).toEqual([
      { id: takes[0].id, path: a },
      { id: takes[2].id, path: c },
    ])
    for (const { id, path } of found) {
      const hash = execFileSync('sha256sum', [path]).toString().slice(0, 64)
      expect(hash).toBe(takes.find((take) => take.id === id)?.sha256)
    }
    expect(await missing()).toHaveLength(2)
    await shop.handlers.relinkTakes({ takes: found }, context)
    expect(await missing()).toEqual([])
  })

  it('finds a take whose size was not noted', async () => {
    const { shop, takes, lose, search, elsewhere } = await threeTakes()
    const [path] = lose(takes[0])
    // As a catalogue of a version that did not note them.
    rawOn(shop.workplace.catalogue.path).exec('UPDATE takes SET size_bytes = NULL')
    expect((await search(elsewhere)).found).toEqual([{ id: takes[0].id, path }])
  })

  it('hashes only files that have the size of a missing take', async () => {
    const { takes, lose, search, elsewhere, shop } = await threeTakes()
    lose(takes[0])
    for (const frames of [100, 47_999, 48_001]) {
      writeTake(join(elsewhere, `${frames}.wav`), [whiteNoise(frames, 1, 0.3)])
    }
    const { pool } = shop.workplace
    const { run } = pool
    const hashed: unknown[] = []
    pool.run = ((name: never, input: never, options: never) => {
      hashed.push(name)
      return run.call(pool, name, input, options)
    }) as never
    onTestFinished(() => {
      pool.run = run
    })
    await search(elsewhere)
    expect(hashed).toEqual(['hashFile'])
  })

  it('says what it has not found, and refuses a folder that is not there or has no full path', async () => {
    const { takes, lose, search, elsewhere, shop } = await threeTakes()
    const [a] = lose(takes[0], takes[1])
    rmSync(a)
    expect((await search(elsewhere)).found.map(({ id }) => id)).toEqual([takes[1].id])
    await expect(search(join(shop.folder, 'nowhere'))).rejects.toThrow(/nowhere/)
    await expect(search('elsewhere')).rejects.toMatchObject({ code: 'invalid-input' })
  })

  it('reports progress and can be cancelled', async () => {
    const { takes, lose, search, elsewhere } = await threeTakes()
    lose(...takes)
    const told: string[] = []
    await search(elsewhere, { ...context, report: (_, doing) => told.push(doing) })
    expect(told.at(-1)).toBe('3 of 3 found')
    const cancel = new AbortController()
    const cancelled = search(elsewhere, { signal: cancel.signal, report: () => cancel.abort() })
    await expect(cancelled).rejects.toMatchObject({ code: 'cancelled' })
  })
})

describe('a file chosen for a missing take', () => {
  it('is refused with what differs', async () => {
    const { shop, takes, lose, handlers } = await threeTakes()
    lose(takes[0])
    const choose = (
      name: string,
      ...args: Parameters<typeof writeTake> extends [string, ...infer R] ? R : never
    ) =>
      handlers.relinkTakes(
        { takes: [{ id: takes[0].id, path: writeTake(join(shop.folder, name), ...args) }] },
        context,
      )
    const one = whiteNoise(48_000, 5, 0.3)
    await expect(choose('rate.wav', [one], { sampleRateHz: 44_100 })).rejects.toThrow(
      /is not the take a: it is at 44\.1 kHz, and the take at 48 kHz\. .*import this one as a new take/,
    )
    await expect(choose('stereo.wav', [one, one])).rejects.toThrow(/it is stereo, and the take mono/)
    await expect(choose('short.wav', [whiteNoise(24_000, 5, 0.3)])).rejects.toThrow(
      /it is 0\.500 s long, and the take 1\.000 s/,
    )
    await expect(choose('other.wav', [one])).rejects.toThrow(/the same format and length, but other bytes/)
    const text = writeTake(join(shop.folder, 'torn.wav'), [one])
    truncateSync(text, 10)
    await expect(handlers.relinkTakes({ takes: [{ id: takes[0].id, path: text }] }, context)).rejects.toThrow(
      /torn/,
    )
  })

  it('changes nothing where one of several is refused', async () => {
    const { takes, lose, handlers, missing } = await threeTakes()
    const [a, b] = lose(takes[0], takes[1])
    const both = [
      { id: takes[0].id, path: a },
      { id: takes[1].id, path: a },
    ]
    await expect(handlers.relinkTakes({ takes: both }, context)).rejects.toMatchObject({ code: 'changed' })
    expect(await missing()).toHaveLength(2)
    await handlers.relinkTakes({ takes: [both[0], { id: takes[1].id, path: b }] }, context)
    expect(await missing()).toEqual([])
  })

  it('is forgotten by undo, which takes only places at which the take was seen', async () => {
    const { shop, takes, lose, handlers, missing } = await threeTakes()
    const [path] = lose(takes[0])
    const before = await handlers.relinkTakes({ takes: [{ id: takes[0].id, path }] }, context)
    expect(before).toEqual([{ id: takes[0].id, path: 'a.wav', copies: [] }])
    await handlers.restoreTakePlaces({ takes: before }, context)
    expect(shop.workplace.catalogue.takes.get(takes[0].id)).toEqual(takes[0])
    expect(await missing()).toHaveLength(1)
    const strange = [{ ...before[0], copies: ['/etc/strange.wav'] }]
    await expect(handlers.restoreTakePlaces({ takes: strange }, context)).rejects.toMatchObject({
      code: 'conflict',
    })
  })
})
