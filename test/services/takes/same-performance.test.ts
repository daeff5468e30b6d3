// Intake says which earlier take of the session holds the same performance, and leaves doubles alone.

import { execFileSync } from 'node:child_process'
import { existsSync, readdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import type { Session, Take } from '../../../app/contract/entities.ts'
import type { Handlers } from '../../../app/contract/wire/commands.ts'
import { LEAD_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../app/dsp/voice/performance.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import type { Jobs } from '../../../app/workers/jobs.ts'
import { hasTool } from '../../require-tool.ts'
import { SINGERS, songTake } from '../../signals/checking.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const sung = (seed: number, deviations = LEAD_DEVIATIONS): Float64Array =>
  Float64Array.from(songTake(SINGERS[0], seed, { deviations }).samples)

/** What each finding of the same performance calls the other take. */
const namesOf = ({ facts }: Take): string[] =>
  facts.findings.filter((finding) => finding.kind === 'same-performance').map(({ otherTake }) => otherTake)

async function importInto(handlers: Handlers, { id }: Session, paths: readonly string[]): Promise<Take[]> {
  const files = paths.map((path) => ({ path }))
  const request = { sessionId: id, files, voiceId: null, micId: null, curveId: null }
  return (await handlers.importTakes(request, context)).takes
}

it('names the take that a copy repeats, with lag and polarity, at once and after the prints were lost', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const lead = sung(1)
  const double = sung(2, TIGHT_DOUBLE_DEVIATIONS)
  const copy = new Float64Array(lead.length + 731)
  for (let n = 0; n < lead.length; n++) copy[n + 731] = -0.5 * lead[n]
  const file = (name: string, samples: Float64Array) => writeTake(join(shop.folder, `${name}.wav`), [samples])
  const [first] = await shop.takeIn(session, file('lead', lead))
  const [second] = await shop.takeIn(session, file('double', double))
  expect(second.facts.findings.filter(({ kind }) => kind === 'same-performance')).toEqual([])
  expect(first.facts.check!.phrases.length).toBeGreaterThan(2)

  const [third] = await shop.takeIn(session, file('copy', copy))
  const found = third.facts.findings.filter((finding) => finding.kind === 'same-performance')
  expect(found).toHaveLength(1)
  expect(found[0].value).toBeGreaterThan(200)
  expect(found[0].places!.length).toBeGreaterThanOrEqual(3)
  expect(found[0]).toMatchObject({ otherTake: 'lead', lagFrames: -731, isInverted: true })
  // What the window asks for later is what the import answered.
  expect(shop.workplace.catalogue.takes.get(third.id).facts.findings).toEqual(third.facts.findings)

  const { peaks } = shop.workplace.folders
  for (const name of readdirSync(peaks)) if (name.endsWith('.print')) rmSync(join(peaks, name))
  // The program after a restart, with nothing in memory.
  const again = openWorkplace(shop.workplace.catalogue.path)
  onTestFinished(() => again.close())
  const later = await importInto(createHandlers(again), session, [
    file(
      'copy at half',
      copy.map((sample) => sample / 2),
    ),
  ])
  expect(namesOf(later[0])).toEqual(['lead', 'copy'])
  expect(readdirSync(peaks).filter((name) => name.endsWith('.print'))).toHaveLength(4)
})

describe('a take that comes into a session', () => {
  it.skipIf(!hasTool('flac'))(
    'touches the files of no takes but those that hold its performance',
    async () => {
      const shop = openWorkshop()
      const session = await shop.createSession()
      const { working } = shop.workplace.folders
      const file = (name: string, samples: Float64Array) =>
        writeTake(join(shop.folder, `${name}.wav`), [samples])
      const lead = sung(1)
      const paths = [file('lead', lead), file('double', sung(2, TIGHT_DOUBLE_DEVIATIONS))].map((path) => {
        const flac = path.replace('.wav', '.flac')
        execFileSync('flac', ['--silent', '-o', flac, path])
        return flac
      })
      const [first] = await shop.takeIn(session, ...paths)
      // Whatever reads the sound of a compressed take unpacks it again.
      rmSync(working, { recursive: true })
      const run = vi.spyOn(shop.workplace.pool, 'run')
      const comparedWith = () =>
        run.mock.calls.flatMap(([job, input]) =>
          job === 'findSamePerformance'
            ? (input as Jobs[typeof job]['input']).others.map(({ name }) => name)
            : [],
        )

      const [other] = await shop.takeIn(session, file('another lead', sung(5)))
      expect(namesOf(other)).toEqual([])
      expect(comparedWith()).toEqual([])
      expect(existsSync(working)).toBe(false)

      const [copy] = await shop.takeIn(
        session,
        file(
          'copy',
          lead.map((sample) => sample / 3),
        ),
      )
      expect(namesOf(copy)).toEqual(['lead'])
      expect(comparedWith()).toEqual(['lead'])
      expect(readdirSync(working).map((name) => name.slice(0, 64))).toEqual([first.sha256])
    },
  )

  it('is compared with takes that came from elsewhere, and not with those that were taken out', async () => {
    const shop = openWorkshop()
    const [session, before] = [await shop.createSession(), await shop.createSession()]
    const file = (name: string, samples: Float64Array) =>
      writeTake(join(shop.folder, `${name}.wav`), [samples])
    const lead = sung(1)
    const scaled = (gain: number) => lead.map((sample) => gain * sample)
    const [earlier] = await shop.takeIn(before, file('earlier', lead))
    const [gone] = await shop.takeIn(session, file('gone', scaled(0.9)))
    expect(namesOf(gone)).toEqual([])
    const handlers = shop.handlers
    await handlers.addTakesToSession({ sessionId: session.id, takeIds: [earlier.id] }, context)
    const [second] = await shop.takeIn(session, file('second', scaled(0.8)))
    expect(namesOf(second)).toEqual(['earlier', 'gone'])
    await handlers.removeTakesFromSession({ sessionId: session.id, takeIds: [gone.id] }, context)
    const [third] = await shop.takeIn(session, file('third', scaled(0.7)))
    expect(namesOf(third)).toEqual(['earlier', 'second'])
  })
})
