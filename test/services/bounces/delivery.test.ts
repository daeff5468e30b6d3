// A bounce is whole or not there, and harms nothing: not what was delivered before, no take, no
// file of anybody else's.

import { execFileSync } from 'node:child_process'
import {
  closeSync,
  existsSync,
  linkSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
  writeSync,
} from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import type { Session } from '../../../app/contract/entities.ts'
import type { BounceOutcome, CallContext } from '../../../app/contract/wire/commands.ts'
import { rawOn } from '../../db/raw-connection.ts'
import { hasTool } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

interface Set {
  readonly shop: Workshop
  readonly session: Session
}

async function withTwoLayers(frames = 20_000): Promise<Set> {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [a, b] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'a.wav'), [whiteNoise(frames, 1)]),
    writeTake(join(shop.folder, 'b.wav'), [whiteNoise(frames, 2)]),
  )
  await shop.place(session, a)
  await shop.place(session, b, 'Doubles', { gainDb: -6, pan: 0.5 })
  return { shop, session }
}

const bounce = (
  { shop, session }: Set,
  folder = join(shop.folder, 'out'),
  { call = context, layerStems = false }: { call?: CallContext; layerStems?: boolean } = {},
): Promise<BounceOutcome> =>
  shop.handlers.bounceSession({ sessionId: session.id, folder, encoding: 'pcm-24', layerStems }, call)

const folderOf = (outcome: BounceOutcome): string => dirname(outcome.manifest)

/** Every file below a folder with its bytes. */
const filesBelow = (folder: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => {
        const path = join(entry.parentPath, entry.name)
        return [path.slice(folder.length + 1), readFileSync(path, 'latin1')]
      }),
  )

const leftovers = (folder: string): string[] =>
  readdirSync(folder).filter((name) => name.startsWith('.takeloft-'))

async function expectVerifies({ shop }: Set, outcome: BounceOutcome): Promise<void> {
  const { same, differing } = await shop.handlers.verifyBounce({ manifestPath: outcome.manifest }, context)
  expect(differing).toEqual([])
  expect(same).toHaveLength(outcome.stems.length)
}

describe('two deliveries of one session', () => {
  it('stand side by side, each whole and verifying, whatever was renamed or left out between them', async () => {
    const set = await withTwoLayers()
    const first = await bounce(set, undefined, { layerStems: true })
    const before = filesBelow(folderOf(first))
    const [group] = set.shop.workplace.catalogue.groups.listOfSession(set.session.id)
    await set.shop.handlers.updateGroup({ id: group.id, changes: { name: 'Renamed', gainDb: -3 } }, context)
    const second = await bounce(set)
    expect([folderOf(first), folderOf(second)].map((path) => basename(path))).toEqual(['out', 'out-v02'])
    expect(second.remarks[0]).toContain(`${folderOf(first)} is not empty`)
    expect(filesBelow(folderOf(first))).toEqual(before)
    expect(Object.keys(filesBelow(folderOf(second))).sort()).toEqual([
      'InventedSong_Doubles_48k24b.wav',
      'InventedSong_Renamed_48k24b.wav',
      'manifest.json',
    ])
    await expectVerifies(set, first)
    await expectVerifies(set, second)
    expect(basename(folderOf(await bounce(set, folderOf(second))))).toBe('out-v03')
  })

  it('made at the same moment do not disturb each other', async () => {
    const set = await withTwoLayers()
    const outcomes = await Promise.all(Array.from({ length: 8 }, () => bounce(set)))
    expect(outcomes.map((outcome) => basename(folderOf(outcome))).sort()).toEqual([
      'out',
      ...[2, 3, 4, 5, 6, 7, 8].map((n) => `out-v0${n}`),
    ])
    for (const outcome of outcomes) await expectVerifies(set, outcome)
    expect(leftovers(set.shop.folder)).toEqual([])
    expect(set.shop.workplace.catalogue.bounces.list({ sessionId: set.session.id })).toHaveLength(8)
  })
})

describe('what lies where a bounce is to go', () => {
  const STEM = 'InventedSong_Lead_48k24b.wav'

  /** Puts something at `out` and gives back what must not change. */
  const THERE: Readonly<Record<string, (set: Set, out: string) => Promise<string[]>>> = {
    'a take named like a stem': async ({ shop, session }, out) => {
      mkdirSync(out)
      await shop.takeIn(session, writeTake(join(out, STEM), [whiteNoise(900, 3)]))
      return [join(out, STEM)]
    },
    'a take named like a stem, behind a link to the folder': async ({ shop, session }, out) => {
      mkdirSync(join(shop.folder, 'takes'))
      await shop.takeIn(session, writeTake(join(shop.folder, 'takes', STEM), [whiteNoise(900, 3)]))
      symlinkSync('takes', out)
      return [join(shop.folder, 'takes', STEM)]
    },
    'a hard link of a take named like a stem': async ({ shop }, out) => {
      mkdirSync(out)
      linkSync(join(shop.folder, 'a.wav'), join(out, STEM))
      return [join(shop.folder, 'a.wav')]
    },
    'a take in a folder that looks unfinished': async ({ shop, session }, out) => {
      mkdirSync(join(out, '.unfinished-abc'), { recursive: true })
      mkdirSync(join(shop.folder, '.takeloft-000000000000000000000000'))
      const takes = ['out/.unfinished-abc/c.wav', '.takeloft-000000000000000000000000/d.wav'].map((name, n) =>
        writeTake(join(shop.folder, name), [whiteNoise(900, 4 + n)]),
      )
      await shop.takeIn(session, ...takes)
      return takes
    },
    'a foreign file': async (_set, out) => {
      mkdirSync(out)
      writeFileSync(join(out, 'notes.txt'), 'mine')
      writeFileSync(join(out, 'manifest.json'), 'not JSON')
      return [join(out, 'notes.txt'), join(out, 'manifest.json')]
    },
    'a delivery whose stem was taken in again': async (set, out) => {
      const first = await bounce(set)
      await set.shop.takeIn(set.session, first.stems[0].path)
      expect(folderOf(first)).toBe(out)
      return [...first.stems.map(({ path }) => path), first.manifest]
    },
  }

  it.each(Object.keys(THERE))('%s: stays byte for byte, and the bounce is beside it', async (what) => {
    const set = await withTwoLayers()
    const out = join(set.shop.folder, 'out')
    const mustStay = await THERE[what](set, out)
    const bytes = mustStay.map((path) => readFileSync(path, 'latin1'))
    const outcome = await bounce(set)
    expect(basename(folderOf(outcome))).toBe('out-v02')
    expect(mustStay.map((path) => readFileSync(path, 'latin1'))).toEqual(bytes)
    await expectVerifies(set, outcome)
  })

  it('an empty folder is used', async () => {
    const set = await withTwoLayers()
    mkdirSync(join(set.shop.folder, 'out'))
    const outcome = await bounce(set)
    expect(basename(folderOf(outcome))).toBe('out')
    await expectVerifies(set, outcome)
  })

  it.each<[string, (path: string) => void]>([
    ['a pipe', (path) => execFileSync('mkfifo', [path])],
    ['a link that leads nowhere', (path) => symlinkSync('nowhere', path)],
    ['a file', (path) => writeFileSync(path, 'mine')],
  ])('%s is no place for a delivery, and nothing is rendered for it', async (_what, make) => {
    const set = await withTwoLayers()
    make(join(set.shop.folder, 'out'))
    await expect(bounce(set)).rejects.toMatchObject({ code: 'not-writable' })
    expect(readdirSync(set.shop.folder).filter((name) => name.startsWith('out'))).toEqual(['out'])
  })

  it('a name that no disk takes is refused before anything is rendered', async () => {
    const set = await withTwoLayers()
    await expect(bounce(set, join(set.shop.folder, 'x'.repeat(300)))).rejects.toMatchObject({
      code: 'invalid-input',
    })
  })

  it('a folder inside a delivery is refused, because a delivery stays as it is', async () => {
    const set = await withTwoLayers()
    const first = await bounce(set)
    const before = filesBelow(folderOf(first))
    await expect(bounce(set, join(folderOf(first), 'more', 'deeper'))).rejects.toMatchObject({
      code: 'conflict',
      message: expect.stringContaining(`inside the delivery ${folderOf(first)}`),
    })
    expect(filesBelow(folderOf(first))).toEqual(before)
    expect(readdirSync(folderOf(first))).not.toContain('more')
  })

  it('a path behind a link gives a manifest that verifies by either name', async () => {
    const set = await withTwoLayers()
    mkdirSync(join(set.shop.folder, 'deep', 'er'), { recursive: true })
    symlinkSync(join('deep', 'er'), join(set.shop.folder, 'linked'))
    const outcome = await bounce(set, join(set.shop.folder, 'linked', 'out'))
    await expectVerifies(set, outcome)
    const byLink = join(set.shop.folder, 'linked', 'out', 'manifest.json')
    await expectVerifies(set, { ...outcome, manifest: byLink })
  })
})

describe('a take that something writes to during the bounce', () => {
  /** Does something to a.wav once the stems are being rendered. */
  const during = (set: Set, act: (path: string) => void): CallContext => {
    let isDone = false
    return {
      signal: new AbortController().signal,
      report(_fraction, doing) {
        if (isDone || !doing.startsWith('Rendering')) return
        isDone = true
        act(join(set.shop.folder, 'a.wav'))
      },
    }
  }

  /** Other sound of the same length, in the same file. */
  function overwrite(path: string): void {
    const descriptor = openSync(path, 'r+')
    writeSync(descriptor, Buffer.alloc(3000, 0x11), 0, 3000, 60_000)
    closeSync(descriptor)
  }

  it.each<[string, (path: string) => void]>([
    ['in place', overwrite],
    [
      'in place and back',
      (path) => {
        const whole = readFileSync(path)
        overwrite(path)
        writeFileSync(path, whole)
      },
    ],
    [
      'as another file of its name',
      (path) => {
        rmSync(path)
        writeTake(path, [whiteNoise(900_000, 77)])
      },
    ],
  ])('%s: fails, says which, and delivers nothing', async (_how, act) => {
    const set = await withTwoLayers(900_000)
    const original = readFileSync(join(set.shop.folder, 'a.wav'))
    const names = readdirSync(set.shop.folder)
    await expect(
      bounce(set, join(set.shop.folder, 'new', 'out'), { call: during(set, act) }),
    ).rejects.toMatchObject({ code: 'changed', message: expect.stringMatching(/take a was written to/) })
    expect(readdirSync(set.shop.folder)).toEqual(names)
    expect(set.shop.workplace.catalogue.bounces.list({ sessionId: set.session.id })).toEqual([])
    writeFileSync(join(set.shop.folder, 'a.wav'), original)
  })

  it('that only got another link is rendered', async () => {
    const set = await withTwoLayers(900_000)
    const call = during(set, (path) => linkSync(path, `${path} link`))
    const outcome = await bounce(set, undefined, { call })
    expect(existsSync(join(set.shop.folder, 'a.wav link'))).toBe(true)
    await expectVerifies(set, outcome)
  })
})

describe.skipIf(!hasTool('flac'))('a FLAC take', () => {
  it('whose working copy has rotted is unpacked again, and the stems are those of the take', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const wave = writeTake(join(shop.folder, 'a.wav'), [whiteNoise(20_000, 1)])
    execFileSync('flac', ['-s', wave, '-o', join(shop.folder, 'a.flac')])
    const [take] = await shop.takeIn(session, join(shop.folder, 'a.flac'))
    await shop.place(session, take)
    const set = { shop, session }
    const sound = await bounce(set)

    const folder = join(shop.workplace.folders.working, take.sha256)
    const [copy] = readdirSync(folder)
    const bytes = readFileSync(join(folder, copy))
    bytes[bytes.length - 3000] ^= 0x40
    writeFileSync(join(folder, copy), bytes)
    const again = await bounce(set)
    expect(readFileSync(again.stems[0].path).equals(readFileSync(sound.stems[0].path))).toBe(true)
    await expectVerifies(set, again)
  })
})

describe('a bounce that does not come to its end', () => {
  it('when cancelled at any time leaves nothing, and no thread writes on', async () => {
    const set = await withTwoLayers(200_000)
    const names = readdirSync(set.shop.folder)
    for (let after = 0; after < 12; after++) {
      const abort = new AbortController()
      let reports = 0
      const call: CallContext = {
        signal: abort.signal,
        report: () => {
          if (reports++ === after) abort.abort()
        },
      }
      await bounce(set, join(set.shop.folder, 'new', 'deeper', 'out'), { call }).catch((error: unknown) => {
        expect(error).toMatchObject({ code: 'cancelled' })
        expect(readdirSync(set.shop.folder)).toEqual(names)
      })
      rmSync(join(set.shop.folder, 'new'), { recursive: true, force: true })
    }
  })

  it('because the ledger cannot be written: the stems stand and verify, and the failure says so', async () => {
    const set = await withTwoLayers()
    const other = rawOn(set.shop.workplace.catalogue.path)
    other.exec('BEGIN IMMEDIATE')
    const failure: { code: string; message: string; details: { folder: string } } = await bounce(set).then(
      () => {
        throw new Error('the bounce was noted')
      },
      (error) => error,
    )
    other.exec('ROLLBACK')
    other.close()
    expect(failure.code).toBe('catalogue-busy')
    expect(failure.message).toMatch(
      /The stems are whole in .*out and can be verified, but the ledger could not/,
    )
    expect(set.shop.workplace.catalogue.bounces.list({ sessionId: set.session.id })).toEqual([])
    const manifestPath = join(failure.details.folder, 'manifest.json')
    const { differing, same } = await set.shop.handlers.verifyBounce({ manifestPath }, context)
    expect([same.length, differing]).toEqual([2, []])
  })
})
