// Archives of sessions. Both manifests are checked by sha256sum of the coreutils (RFC 8493, BagIt 1.0), and every kind
// of damage to a bag has to be found.

import { execFileSync } from 'node:child_process'
import {
  appendFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, join } from 'node:path'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { archiveSession } from '../../../app/services/keeping/archive-session.ts'
import { validateBag } from '../../../app/services/keeping/bag-folder.ts'
import { restoreBag } from '../../../app/services/keeping/restore-bag.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { checkTakesUnharmed } from '../../unharmed-takes.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

/** Documents of a session have the same size however long its takes are, so D11 is measured on takes of seconds. */
const FRAMES = 9600
const LONG_FRAMES = 96_000

/** A session of 50 takes, of which two are in the stack. */
async function fiftyTakes(count = 50, frames = FRAMES) {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const paths = Array.from({ length: count }, (_, k) =>
    writeTake(join(shop.folder, `take ${k}.wav`), [whiteNoise(frames, k + 1, 0.3)]),
  )
  const takes = await shop.takeIn(session, ...paths)
  await shop.place(session, takes[0]!, 'Lead')
  await shop.place(session, takes[1]!, 'Doubles', { role: 'double' })
  const out = join(shop.folder, 'archives')
  const archive = () => archiveSession(shop.workplace, { sessionId: session.id, folder: out }, context)
  return { shop, session, takes, out, archive }
}

/** Lines of `sha256sum -c` for both manifests; throws where one does not verify. */
const sha256sum = (bag: string): string[] =>
  ['manifest-sha256.txt', 'tagmanifest-sha256.txt'].flatMap((manifest) =>
    execFileSync('sha256sum', ['-c', '--strict', manifest], { cwd: bag, encoding: 'utf8' })
      .trim()
      .split('\n'),
  )

const filesBelow = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))

describe('an archive', () => {
  it('verifies with sha256sum, has every take byte for byte, and shares what is unchanged with the one before', async () => {
    const { shop, session, takes, out, archive } = await fiftyTakes(50, LONG_FRAMES)
    const first = await archive()
    expect(sha256sum(first.bag).every((line) => line.endsWith(': OK'))).toBe(true)
    const archived = readdirSync(join(first.bag, 'data/takes'))
    for (const { sha256, path } of takes) {
      const name = archived.find((one) => one.startsWith(sha256.slice(0, 12)))!
      expect(
        readFileSync(join(first.bag, 'data/takes', name)).equals(readFileSync(join(shop.folder, path))),
      ).toBe(true)
    }
    expect(readFileSync(join(first.bag, 'bagit.txt'), 'utf8')).toBe(
      'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n',
    )
    expect(first).toMatchObject({ takes: 50, linkedBytes: 0, copies: 2, remarks: [] })

    // One take of 50 is another one.
    await shop.handlers.removeTakesFromSession({ sessionId: session.id, takeIds: [takes[49]!.id] }, context)
    await shop.takeIn(session, writeTake(join(shop.folder, 'again.wav'), [whiteNoise(LONG_FRAMES, 999, 0.3)]))
    const second = await archive()
    expect(basename(second.bag)).toBe(`${basename(first.bag)}-v02`)
    expect(sha256sum(second.bag)).toHaveLength(sha256sum(first.bag).length)
    const known = new Set(filesBelow(first.bag).map((path) => statSync(path).ino))
    const sizes = filesBelow(second.bag).map((path) => statSync(path))
    const total = sizes.reduce((sum, { size }) => sum + size, 0)
    const fresh = sizes.filter(({ ino }) => !known.has(ino)).reduce((sum, { size }) => sum + size, 0)
    // D11.
    expect(fresh / total).toBeLessThan(0.05)
    expect(second.newBytes + second.linkedBytes).toBeGreaterThan(0)
    expect(readdirSync(out).filter((name) => name.startsWith('.'))).toEqual([])
  })

  it('is refused where a take is missing, and leaves nothing', async () => {
    const { shop, takes, out, archive } = await fiftyTakes(2)
    renameSync(join(shop.folder, takes[0]!.path), join(shop.folder, 'elsewhere.wav'))
    await expect(archive()).rejects.toThrow(/Nothing was archived, because 1 take is missing/)
    expect(existsSync(out)).toBe(false)
  })

  it('leaves nothing where it is cancelled or the disk fails', async () => {
    const { shop, session, out } = await fiftyTakes(3)
    const stop = new AbortController()
    const call = { signal: stop.signal, report: () => stop.abort() }
    const cancelled = archiveSession(shop.workplace, { sessionId: session.id, folder: out }, call)
    await expect(cancelled).rejects.toMatchObject({ code: 'cancelled' })
    expect(existsSync(out)).toBe(false)
  })

  it('does not use a damaged file of an older archive, and says so', async () => {
    const { shop, archive } = await fiftyTakes(3)
    const { bag } = await archive()
    const [name] = readdirSync(join(bag, 'data/takes'))
    shop.tampered.add(join(bag, 'data/takes', name!))
    writeFileSync(join(bag, 'data/takes', name!), 'X', { flag: 'r+' })
    const second = await archive()
    expect(second.remarks).toEqual([expect.stringContaining(name!)])
    expect(sha256sum(second.bag).every((line) => line.endsWith(': OK'))).toBe(true)
  })
})

/** Twelve kinds of damage. Each changes a copy of a good bag in one way. */
const MUTATIONS: Readonly<Record<string, (bag: string) => void>> = {
  'a flipped byte of a take': (bag) =>
    flip(join(bag, 'data/takes', readdirSync(join(bag, 'data/takes'))[0]!), 100),
  'a take that is missing': (bag) =>
    rmSync(join(bag, 'data/takes', readdirSync(join(bag, 'data/takes'))[0]!)),
  'a file that is not listed': (bag) => writeFileSync(join(bag, 'data/extra.wav'), 'x'),
  'a manifest that is cut short': (bag) => {
    const text = readFileSync(join(bag, 'manifest-sha256.txt'), 'utf8')
    writeFileSync(join(bag, 'manifest-sha256.txt'), text.slice(0, text.length / 2))
  },
  'a changed tag file': (bag) => appendFileSync(join(bag, 'takeloft/README.txt'), 'more'),
  'an added tag file': (bag) => writeFileSync(join(bag, 'takeloft/note.txt'), 'x'),
  'a path that leads out': (bag) =>
    appendFileSync(join(bag, 'manifest-sha256.txt'), `${'0'.repeat(64)}  data/../../outside.wav\n`),
  'an asterisk before a path': (bag) => {
    const path = join(bag, 'manifest-sha256.txt')
    writeFileSync(path, readFileSync(path, 'utf8').replace('  data/', ' *data/'))
  },
  'spaces in bagit.txt': (bag) =>
    writeFileSync(join(bag, 'bagit.txt'), 'BagIt-Version : 1.0\nTag-File-Character-Encoding : UTF-8\n'),
  'a file to fetch': (bag) =>
    writeFileSync(join(bag, 'fetch.txt'), 'http://example.org/a.wav 1 data/a.wav\n'),
  'a link instead of a take': (bag) => {
    const path = join(bag, 'data/takes', readdirSync(join(bag, 'data/takes'))[0]!)
    renameSync(path, `${bag}.elsewhere`)
    symlinkSync(`${bag}.elsewhere`, path)
  },
  'a wrong Payload-Oxum': (bag) => {
    const path = join(bag, 'bag-info.txt')
    writeFileSync(path, readFileSync(path, 'utf8').replace(/Payload-Oxum: \d/, 'Payload-Oxum: 9'))
  },
}

function flip(path: string, at: number): void {
  const bytes = readFileSync(path)
  bytes[at % bytes.length]! ^= 1 << (at % 8)
  writeFileSync(path, bytes)
}

describe('damage to a bag', () => {
  it('is found: twelve kinds, and 1000 flipped bits wherever they are', async () => {
    const { shop, archive } = await fiftyTakes(2)
    const { bag } = await archive()
    const { pool } = shop.workplace
    const copy = join(shop.folder, 'mutant')
    for (const [kind, mutate] of Object.entries(MUTATIONS)) {
      cpSync(bag, copy, { recursive: true })
      mutate(copy)
      await expect(validateBag(pool, copy, context), kind).rejects.toMatchObject({ code: 'damaged' })
      rmSync(copy, { recursive: true })
      rmSync(`${copy}.elsewhere`, { force: true })
    }
    cpSync(bag, copy, { recursive: true })
    await validateBag(pool, copy, context)
    const files = filesBelow(copy)
    let seed = 1
    const next = (): number => {
      seed = (seed * 1103515245 + 12345) % 2 ** 31
      return seed
    }
    for (let k = 0; k < 1000; k++) {
      const path = files[k % files.length]!
      const at = next()
      flip(path, at)
      const failure = await validateBag(pool, copy, context).catch((error: unknown) => error)
      expect(failure, `${path} ${at}`).toMatchObject({ code: 'damaged' })
      flip(path, at)
    }
    await validateBag(pool, copy, context)
  }, 300_000)
})

describe('restoring', () => {
  it('gives takes and stems with the same bytes on an empty machine, and nothing twice', async () => {
    const { takes, archive } = await fiftyTakes(3)
    const { bag } = await archive()
    const there = mkdtempSync(join(tmpdir(), 'takeloft-restored-'))
    const workplace = openWorkplace(join(there, 'catalogue.sqlite'))
    onTestFinished(async () => {
      checkTakesUnharmed(workplace.catalogue.path)
      await workplace.close()
      rmSync(there, { recursive: true, force: true })
    })
    const folder = join(there, 'recordings')
    mkdirSync(folder)
    // A file of that name with other bytes stays.
    const taken = join(folder, readdirSync(join(bag, 'data/takes'))[0]!)
    writeFileSync(taken, 'something else')
    const restored = await restoreBag(workplace, { bag, takes: folder }, context)
    expect(restored).toMatchObject({ copied: 3, there: 0, differing: [] })
    expect(restored.same).toHaveLength(2)
    expect(readFileSync(taken, 'utf8')).toBe('something else')
    const known = workplace.catalogue.takes.listOfSession(restored.sessionId)
    expect(known.map(({ sha256 }) => sha256).sort()).toEqual(takes.map(({ sha256 }) => sha256).sort())
    for (const { path, sha256 } of known) {
      expect(execFileSync('sha256sum', [join(there, path)], { encoding: 'utf8' }).slice(0, 64)).toBe(sha256)
    }
    const files = readdirSync(folder)
    const again = await restoreBag(workplace, { bag, takes: folder }, context)
    expect(again).toMatchObject({ sessionId: restored.sessionId, copied: 0, there: 3, differing: [] })
    expect(readdirSync(folder)).toEqual(files)
    expect(workplace.catalogue.sessions.list()).toHaveLength(1)
    expect(workplace.catalogue.layers.listOfSession(restored.sessionId)).toHaveLength(2)
  })

  it('refuses a damaged bag before anything is copied', async () => {
    const { shop, archive } = await fiftyTakes(2)
    const { bag } = await archive()
    shop.tampered.add(join(bag, 'data/session.json'))
    flip(join(bag, 'data/session.json'), 40)
    const folder = join(shop.folder, 'restored')
    const transaction = vi.spyOn(shop.workplace.catalogue, 'transaction')
    await expect(restoreBag(shop.workplace, { bag, takes: folder }, context)).rejects.toThrow(
      /session.json was altered/,
    )
    expect(existsSync(folder)).toBe(false)
    expect(transaction).not.toHaveBeenCalled()
  })
})
