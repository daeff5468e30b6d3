// What is heard of a session, named as every computer knows it.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { SessionSettings } from '../../contract/exchange/history.ts'

/** Settings, groups and layers of a session; groups and layers in the order of the stack. */
export function sessionSettings(catalogue: Catalogue, sessionId: number): SessionSettings {
  const { identities, historyRows } = catalogue
  const nodeOf = (versionId: number | null): string | null =>
    versionId === null ? null : (historyRows.nodeOfVersion(versionId) ?? null)
  const session = catalogue.sessions.get(sessionId)
  const { date, sampleRateHz, tempoBpm, beatsPerBar, beatUnit, tempoChanges } = session
  const { panLaw, startOfDayS, chainSharing, sharedChainVersionId } = session
  const layers = catalogue.layers.listOfSession(sessionId)
  const hashes = new Map(layers.map(({ takeId }) => [takeId, catalogue.takes.get(takeId).sha256]))
  return {
    ...{
      date,
      sampleRateHz,
      tempoBpm,
      beatsPerBar,
      beatUnit,
      tempoChanges,
      panLaw,
      startOfDayS,
      chainSharing,
    },
    sharedVersion: nodeOf(sharedChainVersionId),
    groups: catalogue.groups.listOfSession(sessionId).map(({ id, name, chainVersionId, gainDb }) => ({
      id: identities.uuidOf('groups', id)!,
      name,
      version: nodeOf(chainVersionId),
      gainDb,
      layers: layers
        .filter(({ groupId }) => groupId === id)
        .map((layer) => ({
          id: identities.uuidOf('layers', layer.id)!,
          take: hashes.get(layer.takeId)!,
          name: layer.name,
          role: layer.role,
          offsetSamples: layer.offsetSamples,
          gainDb: layer.gainDb,
          pan: layer.pan,
          muted: layer.muted,
          // Layers of several groups lie between one another in the stack.
          position: layers.indexOf(layer),
        })),
    })),
  }
}
