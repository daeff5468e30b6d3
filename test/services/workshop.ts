// A workplace in a folder of its own for each test, with a clock that stands still.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import { createWaveWriter, type WaveWriterOptions } from '../../app/audio/wave/wave-writer.ts'
import type { Session, Take } from '../../app/contract/entities.ts'
import type { CallContext, Handlers } from '../../app/contract/wire/commands.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { openWorkplace, type Workplace } from '../../app/services/workplace.ts'
import { checkTakesUnharmed } from '../unharmed-takes.ts'

export const context: CallContext = { signal: new AbortController().signal, report: () => {} }

/** What a session is asked for with beside its artist and song. */
export const SESSION_FIELDS = {
  date: '2026-10-01',
  sampleRateHz: 48_000,
  tempoBpm: 90,
  beatsPerBar: 4,
  notes: '',
  panLaw: 'minus-3-db',
  startOfDayS: 3600,
  chainSharing: 'own',
} as const

export interface Workshop {
  readonly folder: string
  readonly workplace: Workplace
  readonly handlers: Handlers
  /** Paths of takes that the test itself writes to; all others are to be unharmed at the end. */
  readonly tampered: Set<string>
  /** A session of an invented artist with the three first groups. */
  createSession(sampleRateHz?: 44_100 | 48_000 | 88_200 | 96_000): Promise<Session>
  /** Takes the files in; throws where one is refused. */
  takeIn(session: Session, ...paths: string[]): Promise<Take[]>
  /** Places a take as a layer at the session's start. */
  place(session: Session, take: Take, groupName?: string, changes?: Partial<LayerChanges>): Promise<void>
}

type LayerChanges = Parameters<Handlers['addLayer']>[0]

/** @param readClock ISO 8601; one that stands still if omitted */
export function openWorkshop(readClock: () => string = () => '2026-10-01T12:00:00.000Z'): Workshop {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-test-'))
  const workplace = openWorkplace(join(folder, 'catalogue.sqlite'), readClock)
  const handlers = createHandlers(workplace)
  const tampered = new Set<string>()
  onTestFinished(async () => {
    checkTakesUnharmed(workplace.catalogue.path, tampered)
    await workplace.close()
    rmSync(folder, { recursive: true, force: true })
  })
  return {
    folder,
    workplace,
    handlers,
    tampered,
    async createSession(sampleRateHz = 48_000) {
      const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
      return handlers.createSession(
        { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song', sampleRateHz },
        context,
      )
    },
    async takeIn(session, ...paths) {
      const outcome = await handlers.importTakes(
        {
          sessionId: session.id,
          files: paths.map((path) => ({ path })),
          voiceId: null,
          micId: null,
          curveId: null,
        },
        context,
      )
      if (outcome.refused.length > 0) throw new Error(outcome.refused[0].failure.message)
      return outcome.takes
    },
    async place(session, take, groupName = 'Lead', changes = {}) {
      const group = workplace.catalogue.groups.listOfSession(session.id).find((one) => one.name === groupName)
      if (group === undefined) throw new Error(`no group ${groupName}`)
      await handlers.addLayer(
        {
          sessionId: session.id,
          groupId: group.id,
          takeId: take.id,
          name: take.name,
          role: 'lead',
          offsetSamples: 0,
          gainDb: 0,
          pan: 0,
          muted: false,
          ...changes,
        },
        context,
      )
    },
  }
}

/** Writes a take with our own writer, for tests that are not about reading. */
export function writeTake(
  path: string,
  channels: readonly Float64Array[],
  options: Partial<WaveWriterOptions> = {},
): string {
  const writer = createWaveWriter(path, {
    sampleRateHz: 48_000,
    channels: channels.length,
    encoding: 'pcm-24',
    ditherSeed: null,
    ...options,
  })
  writer.write(channels, channels[0].length)
  writer.finish()
  return path
}
