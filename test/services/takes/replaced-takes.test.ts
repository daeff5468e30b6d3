// Takes in whose place something else is: they count as missing, the rest sounds and is measured, and they are
// found again by their hash. The bytes of each take are known from the import, so the sound of a muted layer is
// what the stack is compared with.

import {
  copyFileSync,
  linkSync,
  mkdirSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

/** Three layers of one second. The file of the first, `path`, may be tampered with; `kept` has its bytes. */
async function threeTakes() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [path, ...others] = ['a', 'b', 'c'].map((name, seed) =>
    writeTake(join(shop.folder, `${name}.wav`), [whiteNoise(48_000, seed + 1, 0.3)]),
  )
  const takes = await shop.takeIn(session, path, ...others)
  for (const take of takes) await shop.place(session, take, 'Lead', { name: take.name })
  shop.tampered.add(path)
  mkdirSync(join(shop.folder, 'kept'))
  const kept = join(shop.folder, 'kept', 'as it was.wav')
  copyFileSync(path, kept)
  const { handlers, workplace } = shop
  const { id: sessionId } = session
  const stack = {
    target: { kind: 'stack', sessionId },
    draft: null,
    compare: null,
    lowerDb: 0,
    solo: null,
    tried: null,
  } as const
  return {
    ...{ shop, session, takes, handlers, path, others, kept, stack },
    missing: () => handlers.listMissingTakes({ sessionId }, context),
    measure: () => handlers.measureStack({ sessionId }, context),
    bounce: () =>
      handlers.bounceSession(
        { sessionId, folder: join(shop.folder, 'out'), encoding: 'pcm-24', layerStems: false },
        context,
      ),
    /** Frames × (dry left, dry right, processed left, processed right). */
    async heard(): Promise<Float32Array> {
      const { playbackId } = await handlers.openPlayback(stack, context)
      return workplace.playback.ask('span', { playbackId, fromFrame: 0, frames: 4800 })
    },
    async mute(): Promise<void> {
      const layer = workplace.catalogue.layers
        .listOfSession(sessionId)
        .find(({ takeId }) => takeId === takes[0].id)
      await handlers.updateLayer({ id: layer?.id ?? 0, changes: { muted: true } }, context)
    },
  }
}

type Three = Awaited<ReturnType<typeof threeTakes>>

/** Names of the jobs that a workplace gives to its threads from now on. */
function jobsOf({ workplace: { pool } }: Pick<Three['shop'], 'workplace'>): string[] {
  const names: string[] = []
  const { run } = pool
  pool.run = ((name: string, ...rest: never[]) => {
    names.push(name)
    return (run as (...args: unknown[]) => unknown).call(pool, name, ...rest)
  }) as never
  return names
}

const otherSound = (path: string, frames = 48_000): string => {
  rmSync(path, { recursive: true, force: true })
  return writeTake(path, [whiteNoise(frames, 77, 0.3)])
}

const REPLACED: readonly (readonly [string, (three: Three) => void])[] = [
  ['other sound of the same format and length', ({ path }) => void otherSound(path)],
  [
    'other sound under the old modification time',
    ({ path }) => {
      const { atime, mtime } = statSync(path)
      otherSound(path)
      utimesSync(path, atime, mtime)
    },
  ],
  ['other bytes written into the same file', ({ path, others }) => copyFileSync(others[0], path)],
  ['a longer recording', ({ path }) => void otherSound(path, 50_000)],
  ['a file that is cut short', ({ path }) => truncateSync(path, 1000)],
  ['an empty file', ({ path }) => writeFileSync(path, '')],
  [
    'a link to another take',
    ({ path, others }) => {
      rmSync(path)
      symlinkSync(others[0], path)
    },
  ],
  [
    'another take under a second name',
    ({ path, others }) => {
      rmSync(path)
      linkSync(others[0], path)
    },
  ],
  [
    'a folder',
    ({ path }) => {
      rmSync(path)
      mkdirSync(path)
    },
  ],
  [
    'a link to a folder',
    ({ path, shop }) => {
      rmSync(path)
      symlinkSync(shop.folder, path)
    },
  ],
]

describe.each(REPLACED)('%s in the place of a take', (_, replace) => {
  it('counts as a missing take: the rest sounds and is measured, a bounce names it, a search finds it', async () => {
    const three = await threeTakes()
    const { handlers, path, kept, session, takes, shop } = three
    replace(three)
    expect(await three.missing()).toEqual([{ id: takes[0].id, path, state: 'changed' }])
    const without = await three.heard()
    const measured = await three.measure()
    expect(measured.missing).toEqual(['a'])
    const failure = await three.bounce().catch((error: unknown) => error)
    expect(failure).toMatchObject({ code: 'changed' })
    expect(String(failure)).toContain(`1 take is missing: a (what is at ${path} is not the take)`)
    expect(String(failure)).toContain('find it in Intake with “Find missing takes”')

    const { found } = await handlers.searchMissingTakes(
      { sessionId: session.id, folder: join(shop.folder, 'kept') },
      context,
    )
    expect(found).toEqual([{ id: takes[0].id, path: kept }])
    await handlers.relinkTakes({ takes: found }, context)
    expect(await three.missing()).toEqual([])
    expect(await three.heard()).not.toEqual(without)
    expect((await three.measure()).missing).toEqual([])

    await three.mute()
    expect(without).toEqual(await three.heard())
    expect((await three.measure()).integratedLufs).toBe(measured.integratedLufs)
  })
})

describe('a replaced take', () => {
  it('on its own is not heard or measured, and says what to do', async () => {
    const { handlers, path, takes, stack } = await threeTakes()
    otherSound(path)
    const target = { kind: 'take', takeId: takes[0].id, sampleRateHz: 48_000 } as const
    await expect(handlers.openPlayback({ ...stack, target }, context)).rejects.toThrow(
      /What is at .*a\.wav is not the take a: .*“Find missing takes”/,
    )
    await expect(handlers.measureChain({ takeId: takes[0].id, stages: [] }, context)).rejects.toMatchObject({
      code: 'changed',
    })
  })

  it('is there again once the original is back', async () => {
    const { path, kept, missing } = await threeTakes()
    otherSound(path)
    expect(await missing()).toHaveLength(1)
    copyFileSync(kept, path)
    expect(await missing()).toEqual([])
  })

  it('is read from a copy that has its bytes', async () => {
    const { path, kept, missing, heard, shop, session } = await threeTakes()
    await shop.takeIn(session, kept)
    const before = await heard()
    otherSound(path)
    expect(await missing()).toEqual([])
    expect(await heard()).toEqual(before)
  })

  it('whose file is gone stays one that is missing, whatever lies where it was before', async () => {
    const { path, kept, missing, handlers, takes } = await threeTakes()
    await handlers.relinkTakes({ takes: [{ id: takes[0].id, path: kept }] }, context)
    otherSound(path)
    expect(await missing()).toEqual([])
    rmSync(kept)
    expect(await missing()).toEqual([{ id: takes[0].id, path: kept, state: 'missing' }])
  })
})

describe('takes that nothing has touched', () => {
  it('are not hashed when they are played, listed or opened again in another start', async () => {
    const three = await threeTakes()
    const jobs = jobsOf(three.shop)
    await three.heard()
    await three.missing()
    expect(jobs).not.toContain('hashFile')

    const again = openWorkplace(three.shop.workplace.catalogue.path)
    try {
      const later = jobsOf({ workplace: again })
      expect(await createHandlers(again).listMissingTakes({ sessionId: three.session.id }, context)).toEqual(
        [],
      )
      expect(later).toEqual([])
    } finally {
      await again.close()
    }
  })

  it('are hashed once where nothing was noted, and a replaced one is found so', async () => {
    const { shop, session, path, missing, takes } = await threeTakes()
    const { catalogue, folders } = shop.workplace
    for (const name of readdirSync(folders.peaks)) {
      if (name.endsWith('.verified')) rmSync(join(folders.peaks, name))
    }
    otherSound(path)
    const again = openWorkplace(catalogue.path)
    try {
      const jobs = jobsOf({ workplace: again })
      const list = () => createHandlers(again).listMissingTakes({ sessionId: session.id }, context)
      expect(await list()).toEqual([{ id: takes[0].id, path, state: 'changed' }])
      expect(await list()).toHaveLength(1)
      expect(jobs).toEqual(['hashFile', 'hashFile', 'hashFile'])
    } finally {
      await again.close()
    }
    expect(await missing()).toHaveLength(1)
  })

  it('are told apart where two files have changed places', async () => {
    const { shop, path, others, missing, takes } = await threeTakes()
    shop.tampered.add(others[0])
    const aside = join(shop.folder, 'aside.wav')
    renameSync(path, aside)
    renameSync(others[0], path)
    renameSync(aside, others[0])
    // Two files are measured at once, so that either may come first.
    const states = new Map((await missing()).map(({ id, state }) => [id, state]))
    expect(states).toEqual(
      new Map([
        [takes[0].id, 'changed'],
        [takes[1].id, 'changed'],
      ]),
    )
  })
})
