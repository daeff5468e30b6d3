// Which artists can come back, and which mic and curve a session was recorded with. Pure.

import type {
  CurveRecord,
  ListedSession,
  SessionChain,
  SessionContents,
} from '../../../app/contract/entities.ts'

/** An artist with the newest session that has a chain. */
export interface Returning {
  readonly artistId: number
  readonly artistName: string
  readonly session: ListedSession
  /** 'Rap main, version 2'; the first of several. */
  readonly chain: string
}

const chainWords = ({ chainName, number }: SessionChain): string => `${chainName}, version ${number}`

/** The sessions of an artist that have chains, in the order of the list, which is newest first. */
export const followable = (
  sessions: readonly ListedSession[],
  chains: readonly SessionChain[],
  artistId: number,
): readonly ListedSession[] =>
  sessions.filter((one) => one.artistId === artistId && chains.some(({ sessionId }) => sessionId === one.id))

/**
 * Artists with a session that has a chain, those of the newest sessions first.
 * @param sessions newest first
 */
export function returningArtists(
  sessions: readonly ListedSession[],
  chains: readonly SessionChain[],
): readonly Returning[] {
  const found = new Map<number, Returning>()
  for (const session of sessions) {
    const chain = chains.find(({ sessionId }) => sessionId === session.id)
    const { artistId, artistName } = session
    if (chain === undefined || found.has(artistId)) continue
    found.set(artistId, { artistId, artistName, session, chain: chainWords(chain) })
  }
  return [...found.values()]
}

/** The curve of a take: its own, else the oldest of its mic. */
export const curveOf = (
  { micId, curveId }: { readonly micId: number | null; readonly curveId: number | null },
  curves: readonly Pick<CurveRecord, 'id' | 'micId'>[],
): number | null =>
  curveId ??
  curves
    .filter((curve) => micId !== null && curve.micId === micId)
    .map(({ id }) => id)
    .sort((a, b) => a - b)[0] ??
  null

/** The take whose mic a session stands for: that of the first lead, else of the first layer, else the first. */
export function leadTakeOf({ layers, takes }: Pick<SessionContents, 'layers' | 'takes'>) {
  const layer = layers.find(({ role }) => role === 'lead') ?? layers[0]
  return takes.find(({ id }) => id === layer?.takeId) ?? takes[0]
}
