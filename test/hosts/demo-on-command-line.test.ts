// The demo from the command line, bounced again and verified, with a byte changed here and a take gone there.

import {
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openCatalogue } from '../../db/catalogue.ts'
import { checkTakesUnharmed } from '../unharmed-takes.ts'
import { documentOf, type Run, runTakeloft } from './run-takeloft.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-demo-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const at = (name: string): string => join(folder, name)
const store = (name: string, contents: string): string => {
  writeFileSync(at(name), contents)
  return at(name)
}
/** A file that is neither a folder nor JSON. */
const good = store('good.wav', 'RIFF')

describe('the demo, bounced and verified', () => {
  const demo = at('demo')
  const takes = join(demo, 'takes')
  let manifest: string
  let catalogue: string

  beforeAll(async () => {
    const run = await runTakeloft(['demo', demo, '--json'])
    expect(run).toMatchObject({ status: 0 })
    const document = documentOf(run) as { catalogue: string; manifest: string }
    expect(Object.keys(document).sort()).toEqual(['catalogue', 'manifest'])
    manifest = document.manifest
    catalogue = document.catalogue
  }, 180_000)

  const verify = (path: string): Promise<Run> => runTakeloft(['verify', path, '--json'])
  const takesOf = (): { name: string; path: string }[] =>
    (JSON.parse(readFileSync(manifest, 'utf8')) as { takes: { name: string; path: string }[] }).takes

  it('has its catalogue and its manifest where it says', () => {
    expect(existsSync(catalogue)).toBe(true)
    expect(existsSync(manifest)).toBe(true)
  })

  it('verifies with 0, every stem the same', async () => {
    const run = await verify(manifest)
    expect(run.status).toBe(0)
    const { same, differing } = documentOf(run) as { same: string[]; differing: string[] }
    expect(differing).toEqual([])
    expect(same.length).toBeGreaterThan(0)
  })

  it('holds findings worth reading: pops, noise, the hum that was planted, and the shout that was taken over', () => {
    const opened = openCatalogue(catalogue)
    const found = opened.takes
      .listOfSession(3)
      .flatMap(({ name, facts }) => facts.findings.map((finding) => ({ take: name, ...finding })))
    opened.close()
    const of = (kind: string) => found.filter((finding) => finding.kind === kind)
    expect(of('pops').map(({ take }) => take)).toEqual(['Stairs pick-up lead'])
    expect(of('noise-floor')).toHaveLength(3)
    expect(of('hum').map(({ take }) => take)).toEqual(['Stairs pick-up ad-libs'])
    // Planted: 50 Hz at -62 dBFS and six harmonics, -59.9 dBFS in all; the lines stand in noise of -58 dBFS.
    expect(of('hum')[0]).toMatchObject({ fundamentalHz: expect.closeTo(50, 2) })
    expect(Math.abs(of('hum')[0].value + 59.9)).toBeLessThan(2)
    const [same] = of('same-performance')
    expect(same.take).toBe('Stairs pick-up ad-libs comp')
    expect(same).toMatchObject({
      otherTake: 'Stairs pick-up ad-libs',
      sharedPhrases: 1,
      phrases: 5,
      lagFrames: 0,
    })
    // The third shout stands on beats 11.5 to 12.15 of a score at 92 to the minute with two beats before it.
    expect(same.places).toHaveLength(1)
    expect(same.places![0].fromS).toBeGreaterThan(8.2)
    expect(same.places![0].toS).toBeLessThan(9.6)
  })

  it('bounces again to the same bytes', async () => {
    const out = at('again')
    const words = ['bounce', '--catalogue', catalogue, '--session', '1', '--out', out, '--layers', '--json']
    const run = await runTakeloft(words)
    expect(run.status).toBe(0)
    const stemsOf = (path: string) =>
      (JSON.parse(readFileSync(path, 'utf8')) as { stems: { file: string; sha256: string }[] }).stems
    const document = documentOf(run) as { manifest: string }
    expect(stemsOf(document.manifest)).toEqual(stemsOf(manifest))
  })

  it.each<[string, string[], RegExp]>([
    ['a session that is not there', ['--session', '99', '--out', at('none')], /session/],
    ['a folder that is a file', ['--session', '1', '--out', good], /good\.wav/],
  ])('refuses to bounce %s, with 2 and nothing left', async (_what, words, why) => {
    const files = readdirSync(folder).sort()
    const { status, sentence } = await runTakeloft(['bounce', '--catalogue', catalogue, ...words])
    expect(status).toBe(2)
    expect(sentence).toMatch(why)
    expect(sentence).toMatch(/\.$/)
    expect(readdirSync(folder).sort()).toEqual(files)
  })

  it('with one byte of one take changed verifies with 1 and names its stems', async () => {
    const take = takesOf().find(({ name }) => /double/.test(name))!
    const path = join(manifest, '..', take.path)
    const bytes = readFileSync(path)
    bytes[bytes.length - 1000] ^= 1
    writeFileSync(path, bytes)
    try {
      const run = await verify(manifest)
      expect(run.status).toBe(1)
      const { same, differing } = documentOf(run) as { same: string[]; differing: string[] }
      expect(differing.length).toBeGreaterThan(0)
      expect(differing.join(' ')).toMatch(/double/i)
      expect(same.some((stem) => differing.includes(stem))).toBe(false)
    } finally {
      bytes[bytes.length - 1000] ^= 1
      writeFileSync(path, bytes)
    }
    expect((await verify(manifest)).status).toBe(0)
  })

  it('with one byte of one stem changed verifies with 1 and names that stem alone', async () => {
    const { stems } = JSON.parse(readFileSync(manifest, 'utf8')) as { stems: { file: string }[] }
    const path = join(manifest, '..', stems[0].file)
    const bytes = readFileSync(path)
    bytes[bytes.length - 10] ^= 1
    writeFileSync(path, bytes)
    try {
      const run = await verify(manifest)
      expect(run.status).toBe(1)
      expect(documentOf(run).differing).toEqual([stems[0].file])
    } finally {
      bytes[bytes.length - 10] ^= 1
      writeFileSync(path, bytes)
    }
  })

  it('with a take that has vanished ends with 2 and names it', async () => {
    const { name, path } = takesOf()[0]
    const from = join(manifest, '..', path)
    renameSync(from, `${from}.away`)
    try {
      const run = await verify(manifest)
      expect(run.status).toBe(2)
      const { unverified, reasons } = documentOf(run) as {
        unverified: string[]
        reasons: Record<string, string>
      }
      expect(unverified.length).toBeGreaterThan(0)
      for (const stem of unverified) expect(reasons[stem]).toContain(`the take ${name} is missing`)
      const out = at('vanished')
      const bounced = await runTakeloft(['bounce', '--catalogue', catalogue, '--session', '1', '--out', out])
      expect(bounced.status).toBe(2)
      expect(bounced.sentence).toContain(name)
      expect(existsSync(out) ? readdirSync(out) : []).toEqual([])
    } finally {
      renameSync(`${from}.away`, from)
    }
  })

  it.each<[string, () => string, RegExp]>([
    ['is not there', () => at('no-manifest.json'), /^There is no file at /],
    ['is no JSON', () => good, /is not JSON and so not a manifest/],
    [
      'is of a newer version',
      () => store('newer-manifest.json', '{"format":"takeloft-bounce","version":5}'),
      /has manifest version 5, and this Takeloft knows up to 4/,
    ],
    [
      'is a chain',
      () => store('chain.json', '{"format":"takeloft-chain","version":1}'),
      /is not the manifest of a Takeloft bounce: at format/,
    ],
  ])('refuses a manifest that %s', async (_what, path, why) => {
    const { status, sentence } = await runTakeloft(['verify', path()])
    expect(status).toBe(2)
    expect(sentence).toMatch(why)
  })

  it('has its takes and its bounces as they were', () => {
    expect(readdirSync(takes).every((name) => name.endsWith('.wav'))).toBe(true)
    checkTakesUnharmed(catalogue)
  })
})
