// Which rows of the catalogue belong to the history of voices and sessions.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { Chain, CurveRecord, Take, Voice } from '../../contract/entities.ts'
import type { SessionSettings } from '../../contract/exchange/history.ts'
import { versionsOfSettings } from './session-settings.ts'

/** Rows of the catalogue by id. */
export interface HistoryScope {
  /** With all of their chains, takes and sessions. */
  readonly voiceIds?: readonly number[]
  /** With their song, their takes, and the chains that they use. */
  readonly sessionIds?: readonly number[]
}

interface ScopeRows {
  readonly artists: ReadonlySet<number>
  readonly voices: readonly Voice[]
  readonly mics: ReadonlySet<number>
  readonly curves: readonly CurveRecord[]
  readonly songs: ReadonlySet<number>
  readonly sessions: ReadonlySet<number>
  readonly chains: readonly Chain[]
  readonly takes: readonly Take[]
}

/** Each row once. @throws Failure `not-found` for a row of the scope that is not there */
export function rowsOfScope(
  catalogue: Catalogue,
  { voiceIds = [], sessionIds = [] }: HistoryScope,
): ScopeRows {
  const { historyRows } = catalogue
  const sessions = new Set(sessionIds.map((id) => catalogue.sessions.get(id).id))
  const voices = new Set(voiceIds.map((id) => catalogue.voices.get(id).id))
  const [artists, songs, mics] = [new Set<number>(), new Set<number>(), new Set<number>()]
  const [chainIds, takeIds, curveIds] = [new Set<number>(), new Set<number>(), new Set<number>()]
  for (const id of voices) {
    for (const sessionId of historyRows.sessionsOfVoice(id)) sessions.add(sessionId)
    for (const takeId of historyRows.takesOfVoice(id)) takeIds.add(takeId)
    for (const chain of catalogue.chains.list(id)) chainIds.add(chain.id)
  }
  const addChainOf = (versionId: number | null): void => {
    const chainId = versionId === null ? undefined : historyRows.chainOfVersion(versionId)
    if (chainId !== undefined) chainIds.add(chainId)
  }
  for (const id of sessions) {
    const session = catalogue.sessions.get(id)
    songs.add(session.songId)
    artists.add(session.artistId)
    addChainOf(session.sharedChainVersionId)
    for (const takeId of catalogue.takes.idsOfSession(id)) takeIds.add(takeId)
    for (const group of catalogue.groups.listOfSession(id)) addChainOf(group.chainVersionId)
    // Settings that are kept may become valid elsewhere, and need their chains there.
    for (const { values } of catalogue.identities.keptOf('settings', id)) {
      for (const node of versionsOfSettings(values as SessionSettings)) {
        addChainOf(historyRows.versionOfNode(node) ?? null)
      }
    }
  }
  const takes = [...takeIds].map((id) => catalogue.takes.get(id))
  for (const { voiceId, micId, curveId } of takes) {
    if (voiceId !== null) voices.add(voiceId)
    if (micId !== null) mics.add(micId)
    if (curveId !== null) curveIds.add(curveId)
  }
  const chains = [...chainIds].map((id) => catalogue.chains.get(id))
  for (const { voiceId } of chains) voices.add(voiceId)
  const voiceRows = [...voices].map((id) => catalogue.voices.get(id))
  for (const { artistId } of voiceRows) artists.add(artistId)
  // A take without a curve of its own is corrected with the oldest of its mic, so all of a used mic belong to it.
  for (const id of mics) for (const curve of catalogue.curves.list(id)) curveIds.add(curve.id)
  const curves = [...curveIds].map((id) => catalogue.curves.get(id))
  return { artists, voices: voiceRows, mics, curves, songs, sessions, chains, takes }
}
