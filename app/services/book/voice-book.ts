// The book of a voice, from the stored facts of its takes.

import { resolve } from 'node:path'
import type { BookFigure, BookSession, VoiceBook } from '../../contract/book/voice-book.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import {
  dependsOnMic,
  type FigureValues,
  figureOfSession,
  figuresOfTake,
  floorOf,
  SEASON_FIGURES,
  type SeasonFigure,
} from '../../dsp/seasons/figures.ts'
import { isUnusual, usualValueOf } from '../../dsp/seasons/usual.ts'
import { type SeasonSession, voiceChangesOf } from '../../dsp/seasons/voice-changes.ts'
import { catalogueRoot } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'

type BookActs = 'readVoiceBook' | 'pinChainVersion'
type Catalogue = Workplace['catalogue']
type HistoryTake = ReturnType<Catalogue['voiceHistory']['takes']>[number]

/** A voice is compared with its last sessions, since voice and booth change over the years. */
const MOST_EARLIER = 24

export function bookHandlers({ catalogue, emit, now }: Workplace): Pick<Handlers, BookActs> {
  return {
    readVoiceBook: async ({ voiceId }) => readBook(catalogue, voiceId),

    async pinChainVersion({ id, isPinned }) {
      const { id: chainVersionId } = catalogue.chains.version(id)
      catalogue.voiceHistory.setPin(chainVersionId, isPinned, now())
      emit('catalogueChanged', { subjects: ['chains'] })
      return {}
    },
  }
}

function readBook(catalogue: Catalogue, voiceId: number): VoiceBook {
  const { voiceHistory: history } = catalogue
  const root = catalogueRoot(catalogue.path)
  const voice = catalogue.voices.get(voiceId)
  const takesOf = Map.groupBy(history.takes(voiceId), ({ sessionId }) => sessionId)
  const bouncesOf = Map.groupBy(history.bounces(voiceId), ({ sessionId }) => sessionId)
  const uses = history.uses(voiceId)
  const usesOf = Map.groupBy(uses, ({ chainVersionId }) => chainVersionId)
  const versions = history.versions(voiceId)
  const curves = curveReader(catalogue)
  const measured = history.sessions(voiceId).map((session) => ({
    session,
    ...measureSession(takesOf.get(session.id) ?? [], curves),
  }))
  const pinned = new Set(history.pins(voiceId))
  const names = new Map(catalogue.mics.list().map(({ id, name }) => [id, name]))
  return {
    voice: { ...voice, artistName: catalogue.artists.get(voice.artistId).name },
    sessions: measured.map(({ session, micId, likeness, values, takes }, at): BookSession => {
      const inUse = new Set(
        uses.filter(({ sessionId }) => sessionId === session.id).map((use) => use.chainVersionId),
      )
      return {
        sessionId: session.id,
        date: session.date,
        songTitle: session.songTitle,
        mic: micId === null ? null : { id: micId, name: names.get(micId) ?? '' },
        isMicTakenOut: likeness === TAKEN_OUT,
        takes: (takesOf.get(session.id) ?? []).map(({ id, name }) => ({ id, name })),
        takesLeftOut: (takesOf.get(session.id) ?? []).length - takes,
        chains: versions
          .filter(({ id }) => inUse.has(id))
          .map(({ id, chainId, chainName, number, node, sharesNumber }) => ({
            ...{ chainVersionId: id, chainId, chainName, number, node, sharesNumber },
          })),
        bounces: (bouncesOf.get(session.id) ?? []).map(({ id, manifestPath, createdAt }) => ({
          id,
          manifestPath: resolve(root, manifestPath),
          createdAt,
        })),
        figures: Object.fromEntries(
          [...values].map(([figure, value]) => [
            figure,
            besideEarlier(figure, value, likeness, measured.slice(0, at)),
          ]),
        ),
      }
    }),
    changes: [...voiceChangesOf(measured.map(seasonOf))],
    chains: [...Map.groupBy(versions, ({ chainId }) => chainId)].map(([chainId, own]) => ({
      id: chainId,
      name: own[0].chainName,
      versions: own.map(({ parents, chainName: _, ...version }) => ({
        ...version,
        parentIds: own.filter(({ node }) => parents.includes(node)).map((parent) => parent.id),
        isPinned: pinned.has(version.id),
        uses: (usesOf.get(version.id) ?? []).map(({ chainVersionId: _, ...use }) => use),
      })),
    })),
  }
}

/** The likeness of sessions whose mics' curves are known, whichever mics they are. */
const TAKEN_OUT = 'taken out'

interface MeasuredSession {
  /** The mic of most of the compared takes. */
  readonly micId: number | null
  /** Sessions of one likeness can be compared in figures that depend on the mic. */
  readonly likeness: string
  readonly values: ReadonlyMap<SeasonFigure, Omit<BookFigure, 'usual' | 'isUnusual'>>
  /** How many takes the values are made of. */
  readonly takes: number
}

type CurveReader = ReturnType<typeof curveReader>

/** The curve that a take's correction uses, each read once. */
function curveReader(catalogue: Catalogue) {
  const ofMic = new Map<number | null, number | null>()
  const curves = new Map<number, ReturnType<typeof catalogue.curves.get>['points']>()
  return ({ micId, curveId }: Pick<HistoryTake, 'micId' | 'curveId'>) => {
    if (micId === null) return null
    if (curveId === null && !ofMic.has(micId)) ofMic.set(micId, catalogue.curves.firstOf(micId)?.id ?? null)
    const id = curveId ?? ofMic.get(micId) ?? null
    if (id === null) return null
    const points = curves.get(id) ?? catalogue.curves.get(id).points
    curves.set(id, points)
    return points
  }
}

/** Takes that cannot be compared with most of the session's are left out. */
function measureSession(takes: readonly HistoryTake[], curveOf: CurveReader): MeasuredSession {
  const read = takes.flatMap((take) => {
    if (take.facts === null) return []
    const curve = curveOf(take)
    return {
      micId: take.micId,
      likeness: curve === null ? `mic ${take.micId ?? 'unknown'}` : TAKEN_OUT,
      values: figuresOfTake(take.facts, curve),
    }
  })
  const likeness = mostFrequent(read.map((take) => take.likeness)) ?? TAKEN_OUT
  const alike = read.filter((take) => take.likeness === likeness)
  const micId = mostFrequent(alike.map((take) => take.micId)) ?? takes[0]?.micId ?? null
  return { micId, likeness, values: figuresOf(alike.map((take) => take.values)), takes: alike.length }
}

function figuresOf(takes: readonly FigureValues[]): MeasuredSession['values'] {
  return new Map(
    SEASON_FIGURES.flatMap((figure) => {
      const value = figureOfSession(figure, takes)
      return value === null ? [] : [[figure, value] as const]
    }),
  )
}

/** The first of those that occur most often; undefined if there are none. */
function mostFrequent<T>(items: readonly T[]): T | undefined {
  const groups = [...Map.groupBy(items, (item) => item).entries()]
  return groups.toSorted(([, a], [, b]) => b.length - a.length)[0]?.[0]
}

/** The figure with what was usual before it. */
function besideEarlier(
  figure: SeasonFigure,
  now: Omit<BookFigure, 'usual' | 'isUnusual'>,
  likeness: string,
  earlier: readonly MeasuredSession[],
): BookFigure {
  const comparable = earlier.filter((one) => !dependsOnMic(figure) || one.likeness === likeness)
  const values = comparable.flatMap((one) => one.values.get(figure)?.value ?? [])
  const usual = usualValueOf(values.slice(-MOST_EARLIER), floorOf(figure))
  return { ...now, usual, isUnusual: usual !== null && isUnusual(now.value, usual) }
}

/** Also with its curve taken out a mic leaves a trace, so mics stay apart where words are at stake. */
const seasonOf = ({ micId, likeness, values }: MeasuredSession): SeasonSession => ({
  mic: `${likeness} ${micId ?? ''}`,
  values: Object.fromEntries([...values].map(([figure, { value }]) => [figure, value])),
})
