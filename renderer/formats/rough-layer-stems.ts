// The sentence about layer stems that do not add up exactly, for a session as it is now.

import type { SessionContents } from '../../app/contract/entities.ts'
import { roughLayerStems } from '../../app/contract/layer-stems.ts'

/** null where they all add up. Muted layers have no stem. */
export function roughLayerStemsOf({
  session,
  groups,
  layers,
  takes,
  chainVersions,
}: Pick<SessionContents, 'session' | 'groups' | 'layers' | 'takes' | 'chainVersions'>): string | null {
  const stagesOf = (versionId: number | null) =>
    chainVersions.find((version) => version.id === versionId)?.stages ?? []
  const heard = layers.filter((layer) => !layer.muted)
  const used = groups.filter((group) => heard.some((layer) => layer.groupId === group.id))
  const shapesOf = (inGroups: readonly { readonly id: number }[]) =>
    heard
      .filter((layer) => inGroups.some((group) => group.id === layer.groupId))
      .map(({ pan, takeId }) => ({ pan, channels: takes.find((take) => take.id === takeId)?.channels ?? 1 }))
  const namesOf = (inGroups: readonly { readonly name: string }[]) => inGroups.map(({ name }) => name)
  return roughLayerStems(
    session.chainSharing === 'shared'
      ? [{ names: namesOf(used), stages: stagesOf(session.sharedChainVersionId), layers: shapesOf(used) }]
      : used.map((group) => ({
          names: namesOf([group]),
          stages: stagesOf(group.chainVersionId),
          layers: shapesOf([group]),
        })),
  )
}
