// Bags that are whole but not as Takeloft wrote them: their documents or stems were changed and the manifests made
// right again, or another program added manifests (RFC 8493, 2.4).

import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  appendFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { archiveSession } from '../../../app/services/keeping/archive-session.ts'
import { validateBag } from '../../../app/services/keeping/bag-folder.ts'
import { restoreBag } from '../../../app/services/keeping/restore-bag.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

async function archivedSession() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const paths = [1, 2].map((seed) =>
    writeTake(join(shop.folder, `take ${seed}.wav`), [whiteNoise(9600, seed, 0.3)]),
  )
  const takes = await shop.takeIn(session, ...paths)
  await shop.place(session, takes[0]!, 'Lead')
  const { bag } = await archiveSession(
    shop.workplace,
    { sessionId: session.id, folder: join(shop.folder, 'archives') },
    context,
  )
  return { bag, shop }
}

/** Another computer, with nothing on it. */
async function restoredElsewhere(bag: string) {
  const other = openWorkshop()
  const folder = join(other.folder, 'recordings')
  return { other, folder, restore: () => restoreBag(other.workplace, { bag, takes: folder }, context) }
}

const hashOf = (algorithm: string, path: string): string =>
  createHash(algorithm).update(readFileSync(path)).digest('hex')

/** Replaces a payload file, and makes the manifests and the size in bag-info.txt right again. */
function replace(bag: string, path: string, text: string): void {
  writeFileSync(join(bag, path), text)
  const relist = (manifest: string, changed: string): void => {
    const lines = readFileSync(join(bag, manifest), 'utf8').split('\n')
    const next = lines.map((line) =>
      line.endsWith(`  ${changed}`) ? `${hashOf('sha256', join(bag, changed))}  ${changed}` : line,
    )
    writeFileSync(join(bag, manifest), next.join('\n'))
  }
  relist('manifest-sha256.txt', path)
  const payload = execFileSync('find', ['data', '-type', 'f', '-printf', '%s\n'], {
    cwd: bag,
    encoding: 'utf8',
  })
  const sizes = payload.trim().split('\n').map(Number)
  const oxum = `${sizes.reduce((sum, size) => sum + size, 0)}.${sizes.length}`
  const info = join(bag, 'bag-info.txt')
  writeFileSync(info, readFileSync(info, 'utf8').replace(/Payload-Oxum: .*/, `Payload-Oxum: ${oxum}`))
  relist('tagmanifest-sha256.txt', 'manifest-sha256.txt')
  relist('tagmanifest-sha256.txt', 'bag-info.txt')
  for (const manifest of ['manifest-sha256.txt', 'tagmanifest-sha256.txt'])
    execFileSync('sha256sum', ['-c', '--strict', '--quiet', manifest], { cwd: bag })
}

const ANOTHER_FILE = import.meta.filename

describe('a whole bag', () => {
  it.each([
    ['an empty document', '{}', 'damaged', /is not the document of the archived session/],
    ['no JSON', 'session', 'damaged', /is not the document/],
    ['JSON that is nested too deeply', '['.repeat(200_000), 'damaged', /is not the document/],
    [
      'a document of a newer version',
      JSON.stringify({ format: 'takeloft-session', version: 99, uuid: 'x' }),
      'not-supported',
      /was written by a newer version of Takeloft/,
    ],
  ])('with %s is refused before anything is copied', async (_, text, code, words) => {
    const { bag } = await archivedSession()
    replace(bag, 'data/session.json', text)
    const { folder, other, restore } = await restoredElsewhere(bag)
    const failure = await restore().catch((error: unknown) => error)
    expect(failure).toMatchObject({ code })
    expect((failure as Error).message).toMatch(words)
    expect(existsSync(folder)).toBe(false)
    expect(other.workplace.catalogue.sessions.list()).toEqual([])
  })

  it('whose stems cannot be verified gives the session all the same, and says so', async () => {
    const { bag } = await archivedSession()
    replace(bag, 'data/stems/manifest.json', '{"format":"something else"}')
    const { other, restore } = await restoredElsewhere(bag)
    const restored = await restore()
    expect(restored).toMatchObject({ copied: 2, same: [], differing: [{ stem: 'manifest.json' }] })
    expect(restored.remarks.join()).toMatch(/The session is restored, but its stems could not be verified/)
    expect(other.workplace.catalogue.layers.listOfSession(restored.sessionId)).toHaveLength(1)
  })

  it('with a link that leads nowhere in the place of a take gives that take another name', async () => {
    const { bag } = await archivedSession()
    const { folder, restore } = await restoredElsewhere(bag)
    mkdirSync(folder)
    for (const name of readdirSync(join(bag, 'data/takes')))
      symlinkSync(join(folder, 'nowhere'), join(folder, name))
    expect(await restore()).toMatchObject({ copied: 2, differing: [] })
    expect(readdirSync(folder).filter((name) => name.endsWith('-2.wav'))).toHaveLength(2)
    expect(existsSync(join(folder, 'nowhere'))).toBe(false)
  })
})

describe('a manifest that another program added', () => {
  const addManifest = (bag: string, algorithm: string, name: string, spoil: boolean): void => {
    const lines = readFileSync(join(bag, 'manifest-sha256.txt'), 'utf8')
      .trim()
      .split('\n')
      .map((line) => line.slice(66))
      .map(
        (path, n) =>
          `${spoil && n === 1 ? hashOf(algorithm, ANOTHER_FILE) : hashOf(algorithm, join(bag, path))}  ${path}`,
      )
    writeFileSync(join(bag, name), `${lines.join('\n')}\n`)
    appendFileSync(join(bag, 'tagmanifest-sha256.txt'), `${hashOf('sha256', join(bag, name))}  ${name}\n`)
  }

  it.each(['md5', 'sha1', 'sha512'])(
    'by %s counts: right it is accepted, wrong it is refused',
    async (algorithm) => {
      const { pool } = openWorkshop().workplace
      const right = (await archivedSession()).bag
      addManifest(right, algorithm, `manifest-${algorithm}.txt`, false)
      await validateBag(pool, right, context)
      const wrong = (await archivedSession()).bag
      addManifest(wrong, algorithm, `manifest-${algorithm}.txt`, true)
      await expect(validateBag(pool, wrong, context)).rejects.toThrow(/was altered/)
    },
  )

  it('by an algorithm that nobody knows is refused', async () => {
    const { bag, shop } = await archivedSession()
    addManifest(bag, 'sha512', 'manifest-whirl9.txt', false)
    await expect(validateBag(shop.workplace.pool, bag, context)).rejects.toThrow(
      /manifest-whirl9.txt has a line that cannot be used/,
    )
  })
})
