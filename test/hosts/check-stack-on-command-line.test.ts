// check-stack: what it prints, and ranges that are none.

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { openWorkshop, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { documentOf, runTakeloft } from './run-takeloft.ts'

it('prints bands, shares and findings, and refuses ranges that are none with a sentence', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const noise = whiteNoise(3 * 48_000, 1, 0.2)
  const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'take.wav'), [noise]))
  await shop.place(session, take)
  await shop.place(session, take, 'Doubles', { role: 'double', name: 'Double', offsetSamples: 48 })
  const call = (...more: string[]) =>
    runTakeloft([
      'check-stack',
      ...['--catalogue', shop.workplace.catalogue.path],
      ...['--session', `${session.id}`, '--json', ...more],
    ])

  const run = await call('--from', '0.5', '--to', '2')
  expect(run.status, run.stderr).toBe(0)
  expect(documentOf(run)).toMatchObject({
    fromS: 0.5,
    toS: 2,
    bands: expect.arrayContaining([
      { hz: 1000, buildUpDb: expect.any(Number), shares: expect.any(Array), sharesDb: expect.any(Array) },
    ]),
    findings: expect.arrayContaining([expect.objectContaining({ kind: 'combing', value: 1, unit: 'ms' })]),
  })

  const open = await call('--from', '1.5')
  expect(documentOf(open)).toMatchObject({ fromS: 1.5, toS: (3 * 48_000 + 48) / 48_000 })

  const refused: [string[], RegExp][] = [
    [['--from', 'NaN'], /'--from <seconds>' argument 'NaN' is invalid. a time is a number of seconds/],
    [['--to', 'Infinity'], /'--to <seconds>' argument 'Infinity' is invalid. a time is a number of seconds/],
    [['--from', 'one'], /argument 'one' is invalid. a time is a number of seconds/],
    [['--from=-9', '--to=-1'], /The range is outside of the song, which goes from .* choose another range/],
    [['--from', '2', '--to', '1'], /A part of the song needs --from and a later --to/],
    [['--from', '1', '--to', '1.01'], /10 ms .* too short .* choose at least 250 ms/],
    [['--from', '1', '--section', '1'], /Give --section, or --from and --to, not both/],
    [['--section', '9'], /has no section 9/],
  ]
  for (const [words, sentence] of refused) {
    const ended = await call(...words)
    expect(ended.status, words.join(' ')).toBe(2)
    expect(documentOf(ended).failure).toMatchObject({ message: expect.stringMatching(sentence) })
    expect(ended.stderr).not.toMatch(/^\s+at /m)
  }
})
