// Facts that versions up to 5 of the catalogue stored with sentences lose those and no number. The kept
// facts are of every kind of finding, written by that version, and of takes of its demo.

import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { Finding } from '../../app/contract/finding.ts'
import { findingWords } from '../../app/words/findings.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import { sha256Of } from './entries.ts'
import { oldCatalogueAt } from './old-catalogue.ts'
import { failureOf, openForTest } from './open-for-test.ts'
import { rawOn } from './raw-connection.ts'
import { temporaryFolder } from './temporary-folder.ts'

interface OldFinding {
  readonly kind: string
  readonly meaning: string
  readonly remedy: string
}

interface OldTake {
  readonly name: string
  readonly sampleRateHz: number
  readonly channels: number
  readonly frames: number
  readonly facts: { readonly findings: readonly OldFinding[]; readonly voice?: { readonly reason?: string } }
}

const KEPT = JSON.parse(
  readFileSync(new URL('../kept/facts-5/facts.json', import.meta.url), 'utf8'),
) as OldTake[]
const LAST_WITH_WORDS = 5

/** A catalogue of the version before, with these takes. */
function oldCatalogue(takes: readonly OldTake[]): string {
  const path = join(temporaryFolder(), 'catalogue.takeloft')
  const db = oldCatalogueAt(path, LAST_WITH_WORDS)
  const add = db.prepare(
    `INSERT INTO takes (sha256, name, path, container, encoding, sample_rate_hz, channels, frames, imported_at, facts)
     VALUES (?, ?, ?, 'wav', 'pcm-24', ?, ?, ?, '2026-11-20T10:00:00.000Z', ?)`,
  )
  for (const { name, sampleRateHz, channels, frames, facts } of takes) {
    add.run(sha256Of(name), name, `/takes/${name}.wav`, sampleRateHz, channels, frames, JSON.stringify(facts))
  }
  db.close()
  return path
}

const numbersIn = (text: string): string[] => text.match(/\d+(\.\d+)?/g) ?? []

it('keeps every number of every finding, in the shape of the contract', () => {
  const path = oldCatalogue(KEPT)
  const catalogue = openForTest(path)
  const kinds = new Set<string>()
  for (const old of KEPT) {
    const { facts } = catalogue.takes.findBySha256(sha256Of(old.name))!
    expect(JSON.stringify(facts), old.name).not.toMatch(/"(meaning|remedy|reason)"/)
    const { findings, voice, ...rest } = facts
    const { findings: oldFindings, voice: oldVoice, ...oldRest } = old.facts
    expect(rest, old.name).toEqual(oldRest)
    expect(findings, old.name).toHaveLength(oldFindings.length)
    for (const [i, { meaning, remedy, ...figures }] of oldFindings.entries()) {
      kinds.add(figures.kind)
      expect(findings[i], old.name).toMatchObject(figures)
      const words = findingWords(findings[i])
      expect(numbersIn(words.meaning + words.remedy), meaning + remedy).toEqual(
        expect.arrayContaining(numbersIn(meaning + remedy)),
      )
    }
    const { reason, ...numbers } = oldVoice ?? {}
    expect(voice ?? {}, reason).toMatchObject(numbers)
  }
  // Every kind that existed then is among them.
  const LATER = ['cut-short', 'never-closed', 'reverberation', 'lossy-coding']
  const known = Finding.options.map(({ shape }) => shape.kind.value).filter((kind) => !LATER.includes(kind))
  expect([...kinds].sort()).toEqual(known.sort())
})

it('reads from the sentence of a copy which take, which phrases, how far and how turned', () => {
  const catalogue = openForTest(oldCatalogue(KEPT))
  const { facts } = catalogue.takes.findBySha256(sha256Of('copies of other takes'))!
  expect(facts.findings).toMatchObject([
    {
      otherTake: 'lead',
      sharedPhrases: 3,
      phrases: 3,
      lagFrames: -731,
      lagSeconds: -731 / 48_000,
      isInverted: true,
    },
    {
      otherTake: 'one, at the same place: two',
      sharedPhrases: 1,
      phrases: 3,
      lagFrames: 1,
      isInverted: false,
    },
    { otherTake: 'Zoë\nÅ', sharedPhrases: 2, phrases: 3, lagFrames: 0, lagSeconds: 0, isInverted: false },
  ])
})

it('says why a voice was not analysed by kind, with the length of the take', () => {
  const catalogue = openForTest(oldCatalogue(KEPT))
  for (const why of ['silent', 'too-short', 'unpitched', 'unclear']) {
    const { facts } = catalogue.takes.findBySha256(sha256Of(`voice: ${why}`))!
    expect(facts.voice).toMatchObject({ why, takeSeconds: 30, neededSeconds: 10 })
  }
})

it('leaves hashes of rows that agree, and facts that cannot be changed', () => {
  const path = oldCatalogue(KEPT)
  openCatalogue(path).close()
  // Opening looks at every hash.
  openCatalogue(path).close()
  const db = rawOn(path)
  expect(() => db.exec("UPDATE takes SET facts = '{}'")).toThrow(/cannot be changed/)
  db.close()
})

it('refuses a finding that no version has written, and leaves the catalogue as it was', () => {
  const [take] = KEPT
  const facts = { ...take.facts, findings: [{ ...take.facts.findings[0], kind: 'never-written' }] }
  const path = oldCatalogue([{ ...take, name: 'strange', facts }])
  const failure = failureOf(() => openCatalogue(path))
  expect(failure.code).toBe('catalogue-damaged')
  expect(failure.message).toMatch(/the take strange has a finding "never-written"/)
  expect(readFileSync(path).readUInt32BE(60)).toBe(LAST_WITH_WORDS)
})
