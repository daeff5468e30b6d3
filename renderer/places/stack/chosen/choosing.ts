// Which layers of Stack are chosen to be changed together. Rows of folded groups are not chosen, because nobody
// sees that they change; those that were chosen before stay.

import type { Group, Layer } from '../../../../app/contract/entities.ts'
import { sessionContentsQuery } from '../../../state/queries.ts'
import { queryClient } from '../../../state/query-client.ts'
import { chooseLayers, readSelection } from '../../../state/selection.ts'

/** Where a range that is extended with Shift begins. */
let anchorId: number | null = null

const ROW_ID = /^layer-(\d+)$/

/** Ids of the rows of layers that are on the sheet, from top to bottom. */
const shownIds = (): number[] =>
  [...document.querySelectorAll('.layer-row')].map(({ id }) => Number(ROW_ID.exec(id)?.[1]))

/** Takes a layer into the choice, or out of it. The layer that was selected so far stays in it. */
export function toggleChosen({ id }: Pick<Layer, 'id'>, selectedId: number | null): void {
  const chosen = new Set(readSelection().chosenIds)
  if (chosen.size === 0 && selectedId !== null) chosen.add(selectedId)
  if (!chosen.delete(id)) chosen.add(id)
  anchorId = id
  chooseLayers(chosen)
}

/** Chooses the layers from the start of the range to this one. */
export function chooseTo({ id }: Pick<Layer, 'id'>, selectedId: number | null): void {
  const ids = shownIds()
  const start = [anchorId, selectedId, id].find((one) => one !== null && ids.includes(one)) ?? id
  anchorId = start
  const [from, to] = [ids.indexOf(start), ids.indexOf(id)].sort((a, b) => a - b)
  chooseLayers(ids.slice(from, to + 1))
}

/** Chooses every layer that is shown. */
export const chooseAll = (): void => chooseLayers(shownIds())

/** Chooses the layers of a group. */
export function chooseGroup({ id, sessionId }: Group): void {
  const contents = queryClient.getQueryData(sessionContentsQuery(sessionId).queryKey)
  chooseLayers(contents?.layers.filter(({ groupId }) => groupId === id).map((layer) => layer.id) ?? [])
}

/** Chooses none. @returns whether any was chosen */
export function chooseNone(): boolean {
  anchorId = null
  if (readSelection().chosenIds.size === 0) return false
  chooseLayers([])
  return true
}
