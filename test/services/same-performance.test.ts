// Intake says which earlier take of the session holds the same performance, and leaves doubles alone.

import { readdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { TakeFacts } from '../../app/contract/take-facts.ts'
import { TIGHT_DOUBLE_DEVIATIONS } from '../../app/dsp/voice/performance.ts'
import { SINGERS, songTake } from '../signals/checking.ts'
import { openWorkshop, writeTake } from './workshop.ts'

it('names the take that a copy repeats, with lag and polarity, at once and after the prints were lost', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const lead = Float64Array.from(songTake(SINGERS[0], 1).samples)
  const double = Float64Array.from(songTake(SINGERS[0], 2, { deviations: TIGHT_DOUBLE_DEVIATIONS }).samples)
  const copy = new Float64Array(lead.length + 731)
  for (let n = 0; n < lead.length; n++) copy[n + 731] = -0.5 * lead[n]
  const file = (name: string, samples: Float64Array) => writeTake(join(shop.folder, `${name}.wav`), [samples])
  const [first] = await shop.takeIn(session, file('lead', lead))
  const [second] = await shop.takeIn(session, file('double', double))
  expect(second.facts.findings.filter(({ kind }) => kind === 'same-performance')).toEqual([])
  expect(first.facts.check!.phrases.length).toBeGreaterThan(2)

  const [third] = await shop.takeIn(session, file('copy', copy))
  const found = third.facts.findings.filter(({ kind }) => kind === 'same-performance')
  expect(found).toHaveLength(1)
  expect(found[0].value).toBeGreaterThan(200)
  expect(found[0].places!.length).toBeGreaterThanOrEqual(3)
  expect(found[0].meaning).toMatch(
    /performance as lead, .*\(731 samples\) earlier there, with the polarity turned/,
  )
  // What the window asks for later is what the import answered.
  expect(shop.workplace.catalogue.takes.get(third.id).facts.findings).toEqual(third.facts.findings)

  const { peaks } = shop.workplace.folders
  for (const name of readdirSync(peaks)) if (name.endsWith('.print')) rmSync(join(peaks, name))
  const later = await shop.takeIn(
    session,
    file(
      'copy at half',
      copy.map((sample) => sample / 2),
    ),
  )
  const again = later[0].facts.findings.filter(({ kind }) => kind === 'same-performance')
  expect(again.map(({ meaning }) => /performance as ([a-z]+)/.exec(meaning)?.[1])).toEqual(['lead', 'copy'])
  expect(readdirSync(peaks).filter((name) => name.endsWith('.print'))).toHaveLength(4)
})

it('reads the facts of takes that were taken in before takes were checked', () => {
  const old = {
    integratedLufs: -20,
    loudnessRangeLu: 4,
    maxMomentaryLufs: -15,
    maxShortTermLufs: -17,
    truePeakDbtp: -3,
    samplePeakDbfs: -3.2,
    dcOffset: 0,
    findings: [
      { kind: 'clipping', value: 3, unit: 'runs', threshold: 1, atSeconds: [1], meaning: 'a', remedy: 'b' },
    ],
  }
  expect(TakeFacts.parse(old)).toEqual(old)
})
