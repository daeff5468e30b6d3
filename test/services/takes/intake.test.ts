// Taking in: facts kept, originals untouched, and a sentence for every file that cannot be used.

import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { whiteNoise } from '../../signals/noise.ts'
import { chunkBytes, fmtChunk, waveBytes } from '../../signals/wave-bytes.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const importAll = (shop: ReturnType<typeof openWorkshop>, sessionId: number, paths: string[]) =>
  shop.handlers.importTakes(
    { sessionId, files: paths.map((path) => ({ path })), voiceId: null, micId: null, curveId: null },
    context,
  )

describe('a take', () => {
  it('keeps its hash, format, facts and peaks, and its file stays as it is', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const path = writeTake(join(shop.folder, 'take.wav'), [whiteNoise(96_000, 1, 0.5)])
    const before = readFileSync(path)
    const [take] = await shop.takeIn(session, path)
    expect(take).toMatchObject({
      name: 'take',
      channels: 1,
      frames: 96_000,
      encoding: 'pcm-24',
      path: 'take.wav',
    })
    expect(take.facts.samplePeakDbfs).toBeCloseTo(-6.02, 1)
    expect(readFileSync(join(shop.workplace.folders.peaks, `${take.sha256}.peaks`)).length).toBeGreaterThan(
      1000,
    )
    expect(readFileSync(path)).toEqual(before)
  })

  it('that is here already is used again, and that is said', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const samples = [whiteNoise(4800, 1, 0.5)]
    const [first] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), samples))
    const outcome = await importAll(shop, session.id, [writeTake(join(shop.folder, 'b.wav'), samples)])
    expect(outcome.takes[0].id).toBe(first.id)
    expect(outcome.remarks[0]).toContain('already in the catalogue as a')
  })

  it('that holds more than its header says is taken in, and that is said', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const path = join(shop.folder, 'short.wav')
    writeFileSync(
      path,
      waveBytes([fmtChunk(), chunkBytes('data', Buffer.alloc(96_000, 0x11), { size: 100 })]),
    )
    const outcome = await importAll(shop, session.id, [path])
    expect(outcome.takes).toMatchObject([{ frames: 50 }])
    expect(outcome.remarks).toEqual([
      'short.wav holds more than its header says: 0.001 s of sound were read, and 95900 bytes behind them were not; if sound is missing, export the recording again.',
    ])
  })

  it('at 8 or 192 kHz is taken in, and its conversion is said', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const paths = [8000, 192_000].map((sampleRateHz) =>
      writeTake(join(shop.folder, `${sampleRateHz}.wav`), [whiteNoise(4000, 1, 0.5)], { sampleRateHz }),
    )
    const outcome = await importAll(shop, session.id, paths)
    expect(outcome.refused).toEqual([])
    expect(outcome.remarks.join()).toMatch(/8 kHz and is converted.*192 kHz and is converted/)
  })

  it('that moved is found again only where its bytes are the same', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const [take] = await shop.takeIn(
      session,
      writeTake(join(shop.folder, 'a.wav'), [whiteNoise(4800, 1, 0.5)]),
    )
    await shop.place(session, take)
    mkdirSync(join(shop.folder, 'moved'))
    renameSync(join(shop.folder, 'a.wav'), join(shop.folder, 'moved', 'a.wav'))
    const source = {
      target: { kind: 'stack', sessionId: session.id },
      draft: null,
      compare: null,
      lowerDb: 0,
      solo: null,
      tried: null,
    } as const
    await expect(shop.handlers.openPlayback(source, context)).rejects.toMatchObject({ code: 'vanished' })

    const other = writeTake(join(shop.folder, 'other.wav'), [whiteNoise(4800, 2, 0.5)])
    const relocate = (path: string) => shop.handlers.relinkTakes({ takes: [{ id: take.id, path }] }, context)
    await expect(relocate(other)).rejects.toMatchObject({ code: 'changed' })
    await relocate(join(shop.folder, 'moved', 'a.wav'))
    await expect(shop.handlers.openPlayback(source, context)).resolves.toMatchObject({ frames: 4800 })
  })

  it('given another mic lets go of the curve of the one before', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const [take] = await shop.takeIn(
      session,
      writeTake(join(shop.folder, 'a.wav'), [whiteNoise(4800, 1, 0.5)]),
    )
    const makeMic = (name: string) =>
      shop.handlers.createMic({ name, serial: '', pattern: 'cardioid', note: '' }, context)
    const [first, second] = [await makeMic('First'), await makeMic('Second')]
    const { curve } = await shop.handlers.importCurve(
      {
        micId: first.id,
        name: 'c',
        source: 'invented',
        pattern: 'cardioid',
        distanceM: null,
        note: '',
        text: '20,0\n1000,0\n20000,3',
      },
      context,
    )
    await shop.handlers.updateTake({ id: take.id, changes: { micId: first.id, curveId: curve.id } }, context)
    const moved = await shop.handlers.updateTake({ id: take.id, changes: { micId: second.id } }, context)
    expect(moved).toMatchObject({ micId: second.id, curveId: null })
  })
})

describe('a batch', () => {
  it('shows each take while others are still being measured', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const lengths = [0.5, 10, 10]
    const paths = lengths.map((seconds, seed) =>
      writeTake(join(shop.folder, `${seed}.wav`), [whiteNoise(48_000 * seconds, seed + 1, 0.5)]),
    )
    const shown: number[] = []
    const list = () => shop.workplace.catalogue.takes.listOfSession(session.id).length
    shop.workplace.subscribe((name) => name === 'catalogueChanged' && shown.push(list()))
    const { addedIds, notReached } = await importAll(shop, session.id, paths)
    expect(shown[0]).toBe(1)
    expect(shown.at(-1)).toBe(3)
    expect(addedIds).toHaveLength(3)
    expect(notReached).toBe(0)
  })

  it('tells the takes that it brought from those that the session had', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const [old, fresh] = [1, 2].map((seed) =>
      writeTake(join(shop.folder, `${seed}.wav`), [whiteNoise(4800, seed, 0.5)]),
    )
    const [known] = await shop.takeIn(session, old)
    const { takes, addedIds } = await importAll(shop, session.id, [old, fresh, fresh])
    expect(takes[0].id).toBe(known.id)
    expect(addedIds).toEqual([takes[1].id])
  })
})

describe('a batch with files that cannot be used', () => {
  it('takes in the good one, names each other one with what to do, and writes nothing', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const put = (name: string, bytes: Buffer | string): string => {
      writeFileSync(join(shop.folder, name), bytes)
      return join(shop.folder, name)
    }
    const good = writeTake(join(shop.folder, 'good.wav'), [whiteNoise(4800, 1, 0.5)])
    const nan = Float32Array.from({ length: 4800 }, (_, i) => (i === 2400 ? Number.NaN : 0.1))
    const floatFmt = fmtChunk({ tag: 3, bits: 32 })
    const bad = {
      'empty.wav': put('empty.wav', ''),
      'text.wav': put('text.wav', 'Dear engineer, this is a letter.'),
      'cut.wav': put('cut.wav', waveBytes([fmtChunk(), chunkBytes('data', Buffer.alloc(0), { size: 9000 })])),
      'nan.wav': put('nan.wav', waveBytes([floatFmt, chunkBytes('data', Buffer.from(nan.buffer))])),
      'none.wav': put(
        'none.wav',
        waveBytes([fmtChunk({ channels: 0 }), chunkBytes('data', Buffer.alloc(100))]),
      ),
      'squeezed.wav': put(
        'squeezed.wav',
        waveBytes([fmtChunk({ tag: 2, bits: 4 }), chunkBytes('data', Buffer.alloc(100))]),
      ),
      'wide.wav': writeTake(
        join(shop.folder, 'wide.wav'),
        [1, 2, 3].map((seed) => whiteNoise(480, seed, 0.5)),
      ),
      'gone.wav': join(shop.folder, 'gone.wav'),
    }
    const outcome = await importAll(shop, session.id, [good, ...Object.values(bad)])
    expect(outcome.takes.map((take) => take.name)).toEqual(['good'])
    const codes = Object.fromEntries(
      outcome.refused.map(({ path, failure }) => [path.split('/').at(-1), failure.code]),
    )
    expect(codes).toEqual({
      'empty.wav': 'empty',
      'text.wav': 'not-audio',
      'cut.wav': 'damaged',
      'nan.wav': 'not-finite',
      'none.wav': 'damaged',
      'squeezed.wav': 'not-supported',
      'wide.wav': 'not-supported',
      'gone.wav': 'not-found',
    })
    for (const { failure } of outcome.refused) {
      expect(failure.message).toMatch(/^[^\n]{30,300}\.$/)
    }
    expect(outcome.refused.find(({ failure }) => failure.code === 'not-finite')?.failure.message).toContain(
      '0.050 s',
    )
  })

  it('stops when cancelled, keeps what is in by then and says how many files it left', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const paths = [1, 2, 3, 4, 5, 6].map((seed) =>
      writeTake(join(shop.folder, `${seed}.wav`), [whiteNoise(48_000, seed, 0.5)]),
    )
    const heard: string[] = []
    shop.workplace.subscribe((name, data) => {
      if (name === 'catalogueChanged' && 'subjects' in data) heard.push(...data.subjects)
    })
    const abort = new AbortController()
    const outcome = await shop.handlers.importTakes(
      {
        sessionId: session.id,
        files: paths.map((path) => ({ path })),
        voiceId: null,
        micId: null,
        curveId: null,
      },
      { signal: abort.signal, report: (_fraction, doing) => doing.startsWith('1 of') && abort.abort() },
    )
    const count = () => shop.workplace.catalogue.takes.listOfSession(session.id).length
    const kept = count()
    expect(kept).toBeGreaterThan(0)
    expect(kept).toBeLessThan(paths.length)
    expect(outcome.takes).toHaveLength(kept)
    expect(outcome.addedIds).toEqual(outcome.takes.map(({ id }) => id))
    expect(outcome).toMatchObject({ refused: [], notReached: 6 - kept })
    expect(new Set(heard)).toEqual(new Set(['takes', 'ledger']))
    // No thread adds one after the answer: a job for each of them has to wait its turn behind what still runs.
    const { pool } = shop.workplace
    await Promise.all(paths.map((path) => pool.run('hashFile', { path })))
    expect(count()).toBe(kept)
  })

  it('cancelled before the first one is in says that none is', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const path = writeTake(join(shop.folder, 'a.wav'), [whiteNoise(48_000, 1, 0.5)])
    const running = shop.handlers.importTakes(
      { sessionId: session.id, files: [{ path }], voiceId: null, micId: null, curveId: null },
      { signal: AbortSignal.abort(), report: () => {} },
    )
    await expect(running).rejects.toMatchObject({
      code: 'cancelled',
      message: 'Cancelled; no take was imported.',
    })
  })
})
