// Files that pretend to be histories. Each is a whole history with one fault (D15: 12 of 12), built byte by byte, so
// that the fault alone is what it is refused for; the same bytes without a fault are merged.

import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { mkdirSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import canonicalize from 'canonicalize'
import { describe, expect, it } from 'vitest'
import { packHistory } from '../../../app/services/history/pack-history.ts'
import { readZip } from '../../../app/services/history/read-zip.ts'
import { importVoice } from '../../../app/services/history/voice-exchange.ts'
import { hasTool } from '../../require-tool.ts'
import { exported, failureOf, fillComputer, openComputer } from './two-computers.ts'
import { type RawEntry, rawZip } from './zip-bytes.ts'

const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex')

/** A whole history as entries, to be spoiled. */
async function wholeHistory(): Promise<RawEntry[]> {
  const home = openComputer()
  await fillComputer(home)
  const entries = await readZip(await exported(home), 'h')
  return [...entries].map(([name, bytes]) => ({ name, bytes }))
}

/** A history.json as it is spoiled. */
interface Spoilt {
  files: { path: string; sha256: string; sizeBytes: number }[]
  versions: { sha256: string; number: number; node: Record<string, unknown> }[]
}

/** The entries with a changed history.json. */
function withHistory(entries: readonly RawEntry[], change: (history: Spoilt) => unknown): RawEntry[] {
  return entries.map((entry) => {
    if (entry.name !== 'history.json') return entry
    const value = JSON.parse(Buffer.from(entry.bytes).toString('utf8')) as Spoilt
    return { name: entry.name, bytes: Buffer.from(canonicalize(change(value) ?? value)!, 'utf8') }
  })
}

/** Changes a letter of a text that history.json has, which leaves it JSON. */
function flippedIn(zip: Buffer, name: string): Buffer {
  const at = zip.indexOf('"note":"', zip.indexOf(name)) - 3
  const flipped = Buffer.from(zip)
  flipped[at]! ^= 1
  return flipped
}

const more = Buffer.from('{}')
const HOSTILE: Readonly<Record<string, readonly [(entries: RawEntry[]) => Buffer, RegExp]>> = {
  'a flipped bit in history.json': [
    (all) => flippedIn(rawZip(all), 'history.json'),
    /history\.json is damaged: its checksum/,
  ],
  'a duplicate': [
    (all) => rawZip([...all, all.find(({ name }) => name.startsWith('curves/'))!]),
    /in it twice/,
  ],
  'a pair that differs by case': [
    (all) => {
      const { name, bytes } = all.find((one) => one.name.startsWith('curves/'))!
      return rawZip([
        ...all,
        { name: name.toUpperCase().replace('CURVES', 'curves').replace('JSON', 'json'), bytes },
      ])
    },
    /no entry “curves\//,
  ],
  'a name that is a device': [
    (all) => rawZip([...all, { name: 'NUL.json', bytes: more }]),
    /no entry “NUL.json”/,
  ],
  'a symbolic link': [
    (all) => rawZip(all.map((one) => (one.name.startsWith('curves/') ? { ...one, mode: 0o120777 } : one))),
    /a link or no ordinary file/,
  ],
  'a bomb of 1000 to 1': [
    (all) =>
      rawZip([
        ...all,
        { name: `curves/${'0'.repeat(64)}.json`, bytes: Buffer.alloc(50_000_000), deflated: true },
      ]),
    /compressed or encrypted/,
  ],
  'a size that is not true': [
    (all) =>
      rawZip(
        all.map((one) => (one.name === 'history.json' ? { ...one, saidSize: one.bytes.length + 9 } : one)),
      ),
    /is damaged|damaged or no zip file|is not as|no UTF-8|is not JSON/,
  ],
  'a way out of the folder': [
    (all) => rawZip([...all, { name: '../out.json', bytes: more }]),
    /relative path/,
  ],
  'an absolute path': [(all) => rawZip([...all, { name: '/tmp/out.json', bytes: more }]), /absolute path/],
  'a backslash': [(all) => rawZip([...all, { name: 'curves\\out.json', bytes: more }]), /invalid characters/],
  'too many entries': [
    (all) =>
      rawZip([
        ...all,
        ...Array.from({ length: 2001 }, (_, n) => ({
          name: `curves/${String(n).padStart(64, '0')}.json`,
          bytes: more,
        })),
      ]),
    /at most 2000/,
  ],
  'a cut': [(all) => rawZip(all).subarray(0, -30), /damaged or no zip file/],
}

describe('a hostile file', () => {
  it.each(Object.entries(HOSTILE))(
    'with %s is refused, and leaves no file',
    async (_name, [build, sentence]) => {
      const entries = await wholeHistory()
      const studio = openComputer()
      const outer = join(studio.folder, 'in')
      mkdirSync(outer)
      const path = join(outer, 'voice.zip')
      writeFileSync(path, build(entries))
      const before = readdirSync(studio.folder, { recursive: true }).sort()
      const failure = await failureOf(() => importVoice(studio.workplace, path))
      expect(failure.code).toBe('invalid-input')
      expect(failure.message).toMatch(sentence)
      expect(readdirSync(studio.folder, { recursive: true }).sort()).toEqual(before)
      expect(studio.workplace.catalogue.artists.list()).toEqual([])
    },
  )

  it('without a fault is merged, so that the faults are what is refused', async () => {
    const studio = openComputer()
    const path = join(studio.folder, 'voice.zip')
    writeFileSync(path, rawZip(await wholeHistory()))
    expect((await importVoice(studio.workplace, path)).added).toHaveLength(9)
  })
})

describe('a history that is not as it was exported', () => {
  const merge = async (change: (entries: RawEntry[]) => RawEntry[]) => {
    const studio = openComputer()
    const path = join(studio.folder, 'voice.zip')
    writeFileSync(path, rawZip(change(await wholeHistory())))
    const failure = await failureOf(() => importVoice(studio.workplace, path))
    expect(studio.workplace.catalogue.artists.list()).toEqual([])
    return failure
  }

  it('of a newer version is refused with a sentence', async () => {
    const failure = await merge((all) => withHistory(all, (history) => ({ ...history, v: 5, poems: [] })))
    expect(failure).toMatchObject({ code: 'newer-version' })
    expect(failure.message).toContain(
      'is a history of version 5, and this Takeloft knows up to 4; update Takeloft',
    )
  })

  it('whose curve was changed, is not listed or is not there', async () => {
    const changed = (all: RawEntry[]) =>
      all.map((one) => (one.name.startsWith('curves/') ? { ...one, bytes: Buffer.from('{}') } : one))
    expect((await merge(changed)).message).toMatch(/is not as it is listed/)
    expect(
      (await merge((all) => withHistory(all, (history) => ({ ...history, files: [] })))).message,
    ).toMatch(/is not as it is listed/)
    expect((await merge((all) => all.filter(({ name }) => !name.startsWith('curves/')))).message).toMatch(
      /is listed and not in it/,
    )
    const relisted = (all: RawEntry[]) =>
      withHistory(changed(all), (history) => {
        history.files[0] = { ...history.files[0], sha256: sha256(Buffer.from('{}')), sizeBytes: 2 }
      })
    expect((await merge(relisted)).message).toMatch(/is not what its name says/)
  })

  it('with a take of no frames, or with two of one identity', async () => {
    type Twice = Spoilt & { takes: { frames: number }[]; sessions: object[]; artists: object[] }
    const spoil = (change: (history: Twice) => void) =>
      merge((all) => withHistory(all, (history) => void change(history as Twice)))
    const none = await spoil(({ takes }) => {
      takes[0]!.frames = 0
    })
    expect(none.message).toMatch(/cannot be used as a history: .*a take has at least one frame/)
    for (const kind of ['sessions', 'artists'] as const) {
      const twice = await spoil((history) => history[kind].push(structuredClone(history[kind][0]!)))
      expect(twice.message).toMatch(new RegExp(`history: two of its ${kind} have the UUID [0-9a-f-]{36}`))
    }
    const takes = await spoil((history) => history.takes.push(structuredClone(history.takes[0]!)))
    expect(takes.message).toMatch(/two of its takes have the hash [0-9a-f]{64}/)
  })

  it.each([
    ['1e999', '1e999', /a number in it is too large/],
    ['a number of 400 digits', '9'.repeat(400), /a number in it is too large/],
    ['half of a surrogate pair', '"\\ud800"', /half of a surrogate pair/],
  ])('with %s', async (_, json, sentence) => {
    const { message } = await merge((all) =>
      all.map((entry) => {
        if (entry.name !== 'history.json') return entry
        const text = Buffer.from(entry.bytes).toString('utf8').replace('"number":1', `"number":${json}`)
        return { ...entry, bytes: Buffer.from(text, 'utf8') }
      }),
    )
    expect(message).toMatch(sentence)
  })

  it('that refers to what it lacks', async () => {
    expect(
      (await merge((all) => withHistory(all, (history) => ({ ...history, takes: [] })))).message,
    ).toMatch(/says nothing of that take/)
    expect(
      (await merge((all) => withHistory(all, (history) => ({ ...history, voices: [] })))).message,
    ).toMatch(/names one of its voices/)
    expect(
      (await merge((all) => withHistory(all, (history) => ({ ...history, machines: [] })))).message,
    ).toMatch(
      /has a chain version of the computer [0-9a-f-]{36}, and does not name that computer; export it again/,
    )
  })

  it('with a version that was tampered with, or whose parent is missing, is merged without it and says so', async () => {
    const home = openComputer()
    const studio = openComputer()
    const made = await fillComputer(home)
    const entries = await readZip(await exported(home), 'h')
    const all = [...entries].map(([name, bytes]) => ({ name, bytes }))
    const path = join(studio.folder, 'voice.zip')
    const orphan = {
      ...{ format: 'takeloft-chain-version', v: 1, parents: ['1'.repeat(64)], stages: [], note: '' },
      ...{ machine: '017f22e2-79b0-7cc3-98c4-dc0c0c07398f', createdAt: '2026-10-01T12:00:00.000Z' },
      chain: home.workplace.catalogue.identities.uuidOf('chains', made.version.chainId),
    }
    const spoiled = withHistory(all, (history) => {
      history.versions[0].node.note = 'another'
      history.versions.push({ sha256: sha256(Buffer.from(canonicalize(orphan)!)), number: 2, node: orphan })
    })
    writeFileSync(path, rawZip(spoiled))
    const { conflicts } = await importVoice(studio.workplace, path)
    expect(conflicts).toMatchObject([
      { conflict: 'waits', details: ['111111111111'] },
      { conflict: 'refused', name: made.version.node.slice(0, 12) },
      { conflict: 'session-waits', details: [made.version.node.slice(0, 12)] },
    ])
    expect(studio.workplace.catalogue.chains.versions(1)).toEqual([])
  })
})

describe('an exported file', () => {
  it('has the same bytes in every time zone, its entries in order and stored, and mimetype first', async () => {
    const home = openComputer()
    await fillComputer(home)
    const zone = process.env.TZ
    const made = await Promise.all(
      ['UTC', 'Asia/Tokyo', 'America/St_Johns'].map(async (tz) => {
        process.env.TZ = tz
        return packHistory(home.workplace, { voiceIds: [1] })
      }),
    ).finally(() => {
      if (zone === undefined) delete process.env.TZ
      else process.env.TZ = zone
    })
    expect(new Set(made.map(sha256)).size).toBe(1)
    const names = [...(await readZip(made[0]!, 'h')).keys()]
    expect(names[0]).toBe('mimetype')
    expect(names.slice(1)).toEqual(names.slice(1).sort())
    // Offset 30 is the name, 38 the content of the first entry (APPNOTE 4.3.7).
    expect(made[0]!.subarray(30, 38).toString()).toBe('mimetype')
    expect(made[0]!.subarray(38, 72).toString()).toBe('application/vnd.takeloft.history+z')
  })

  it.skipIf(!hasTool('unzip'))(
    'is a whole zip file to unzip, and its curves have the hashes of their names',
    async () => {
      const home = openComputer()
      await fillComputer(home)
      const path = join(home.folder, 'voice.zip')
      writeFileSync(path, await exported(home))
      expect(execFileSync('unzip', ['-t', path], { encoding: 'utf8' })).toContain('No errors detected')
      const listed = execFileSync('unzip', ['-Z1', path], { encoding: 'utf8' }).trim().split('\n')
      const curve = listed.find((name) => name.startsWith('curves/'))!
      expect(sha256(execFileSync('unzip', ['-p', path, curve]))).toBe(curve.slice(7, 71))
    },
  )
})
