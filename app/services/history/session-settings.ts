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
          ...(layer.polarityInverted ? { polarityInverted: true as const } : {}),
          // Layers of several groups lie between one another in the stack.
          position: layers.indexOf(layer),
        })),
    })),
  }
}

/** Nodes of the chain versions that a session is set to. */
export const versionsOfSettings = ({ sharedVersion, groups }: SessionSettings): string[] =>
  [sharedVersion, ...groups.map(({ version }) => version)].filter((node) => node !== null)

/** So many differences are named; a session may have hundreds of layers. */
const MOST_NAMED = 6

/** What of the settings differs from the others: 'verse lead: gain -4.5 dB, pan 0.25'. */
export const differingSettings = (settings: SessionSettings, others: SessionSettings): string =>
  differingParts(partsOf(settings), partsOf(others))

/** The parts that the others do not have, the first of them by name. */
export function differingParts(parts: readonly string[], others: readonly string[]): string {
  const partsOfOthers = new Set(others)
  const differing = parts.filter((part) => !partsOfOthers.has(part))
  const more = differing.length - MOST_NAMED
  const named = differing.slice(0, MOST_NAMED).join('; ')
  return differing.length === 0 ? 'without those' : more > 0 ? `${named}; and ${more} more` : named
}

function partsOf({ groups, ...session }: SessionSettings): string[] {
  const { date, tempoBpm, beatsPerBar, beatUnit, tempoChanges, panLaw, startOfDayS, chainSharing } = session
  return [
    `date ${date}`,
    `tempo ${tempoBpm ?? 'not set'}, ${beatsPerBar}/${beatUnit}, ${tempoChanges.length} changes`,
    `tempo changes ${JSON.stringify(tempoChanges)}`.slice(0, 200),
    `pan law ${panLaw}`,
    `starts at ${startOfDayS} s`,
    `chains ${chainSharing}`,
    `shared chain version ${session.sharedVersion?.slice(0, 4) ?? 'none'}`,
    ...groups.flatMap((group) => [
      `group ${group.name}: gain ${group.gainDb} dB, chain version ${group.version?.slice(0, 4) ?? 'none'}`,
      ...group.layers.map(
        (layer) =>
          `${layer.name}: ${layer.role} in ${group.name}, gain ${layer.gainDb} dB, pan ${layer.pan}, offset ${layer.offsetSamples} samples${layer.polarityInverted ? ', polarity inverted' : ''}${layer.muted ? ', muted' : ''}`,
      ),
    ]),
  ]
}
