// Two catalogues with clocks of their own, as two computers have them, and a voice with everything.

import { join } from 'node:path'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { HistoryAnswers, HistoryMerge } from '../../../app/contract/exchange/merge.ts'
import { Failure } from '../../../app/contract/failure.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { mergeHistory } from '../../../app/services/history/merge-history.ts'
import { packHistory } from '../../../app/services/history/pack-history.ts'
import { readHistory } from '../../../app/services/history/read-history.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

export interface Computer extends Workshop {
  /** Moves its clock to a minute of an invented day. */
  setMinute(minute: number): void
}

export function openComputer(): Computer {
  let now = Date.UTC(2026, 9, 1, 12)
  const shop = openWorkshop(() => new Date(now).toISOString())
  return {
    ...shop,
    setMinute(minute) {
      now = Date.UTC(2026, 9, 1, 12, minute)
    },
  }
}

export const STAGES = [defaultStages['low-cut'], defaultStages.tone]

/** An artist with a voice, a mic with a curve, a song, a session with a take as layer, a chain and a saved version. */
export async function fillComputer({ handlers, folder, workplace, ...shop }: Computer) {
  const artist = await handlers.createArtist({ name: 'Ana Überall', note: 'invented' }, context)
  const voice = await handlers.createVoice({ artistId: artist.id, name: 'Sung', note: '' }, context)
  const mic = await handlers.createMic({ name: 'Broad', serial: '7', pattern: 'cardioid', note: '' }, context)
  const curve = await handlers.createCurve(
    {
      ...{ micId: mic.id, name: 'On axis', source: 'invented', pattern: 'cardioid', distanceM: 1, note: '' },
      points: { frequenciesHz: [50, 1000, 16_000], levelsDb: [-3, 0, 2.5] },
      picture: null,
    },
    context,
  )
  const session = await handlers.createSession(
    {
      ...{
        artistId: artist.id,
        songTitle: 'Night — 夜',
        date: '2026-10-01',
        sampleRateHz: 48_000,
        tempoBpm: 90,
      },
      ...{ beatsPerBar: 4, notes: 'first day', panLaw: 'minus-3-db', startOfDayS: 3600, chainSharing: 'own' },
    },
    context,
  )
  const random = createRandom(11)
  const sound = Float64Array.from({ length: 48_000 }, () => 0.2 * (random.uniform() - 0.5))
  const [take] = await shop.takeIn(session, writeTake(join(folder, 'verse lead.wav'), [sound]))
  await handlers.updateTake(
    { id: take!.id, changes: { voiceId: voice.id, micId: mic.id, curveId: curve.id } },
    context,
  )
  const version = await saveVersion({ handlers }, voice.id, null, 'first')
  await shop.place(session, take!)
  const group = workplace.catalogue.groups.listOfSession(session.id)[0]!
  await handlers.updateGroup({ id: group.id, changes: { chainVersionId: version.id } }, context)
  return { artist, voice, mic, curve, session, take: take!, version, group }
}

export const saveVersion = (
  { handlers }: Pick<Workshop, 'handlers'>,
  voiceId: number,
  chainId: number | null,
  note: string,
  changes: { editedId?: number; mergedId?: number } = {},
) => handlers.saveChain({ voiceId, chainId, name: 'Chain', stages: STAGES, note, ...changes }, context)

/** The bytes that a computer exports: one voice, or all of them. */
export const exported = ({ workplace }: Workshop, voiceIds?: number[]): Promise<Buffer> =>
  packHistory(workplace, { voiceIds: voiceIds ?? workplace.catalogue.voices.list().map(({ id }) => id) })

/** Merges what one computer exports into another. */
export async function bring(
  from: Workshop,
  to: Workshop,
  answers: HistoryAnswers = [],
): Promise<HistoryMerge> {
  return mergeHistory(to.workplace, await readHistory(await exported(from), 'history'), answers)
}

/** The failure of a call. */
export async function failureOf(act: () => unknown): Promise<Failure> {
  try {
    await act()
  } catch (error) {
    if (error instanceof Failure) return error
    throw error
  }
  throw new Error('it did not fail')
}
