// Changes to many takes or layers of a session that are one act: all are made, or none.

import type { Group, Layer } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'

type ActsOnMany = 'updateTakes' | 'addLayers' | 'updateLayers' | 'removeLayers'

export function changedTogetherHandlers({ catalogue, emit }: Workplace): Pick<Handlers, ActsOnMany> {
  return {
    async updateTakes({ takes }) {
      const changed = catalogue.transaction(() =>
        takes.map(({ id, ...changes }) => {
          // A curve belongs to its mic, so changing the mic clears it.
          const isOtherMic = changes.micId !== undefined && changes.micId !== catalogue.takes.get(id).micId
          return catalogue.takes.update(id, isOtherMic ? { curveId: null, ...changes } : changes)
        }),
      )
      emit('catalogueChanged', { subjects: ['takes', 'stack'] })
      return changed
    },

    async addLayers({ sessionId, groups, layers }) {
      const added = catalogue.transaction(() => {
        const made = groups.map((group): Group => catalogue.groups.insert({ ...group, sessionId }))
        return {
          groups: made,
          layers: layers.map(
            ({ group, ...fields }): Layer =>
              catalogue.layers.insert({
                ...fields,
                sessionId,
                groupId: 'id' in group ? group.id : idOfNew(made, group.index),
              }),
          ),
        }
      })
      emit('catalogueChanged', { subjects: ['stack'] })
      return added
    },

    async updateLayers({ layers }) {
      const changed = catalogue.transaction(() =>
        layers.map(({ id, changes }) => catalogue.layers.update(id, changes)),
      )
      emit('catalogueChanged', { subjects: ['stack'] })
      return changed
    },

    async removeLayers({ layerIds, groupIds }) {
      catalogue.transaction(() => {
        for (const id of layerIds) catalogue.layers.remove(id)
        for (const id of groupIds) {
          const { sessionId, name } = catalogue.groups.get(id)
          if (catalogue.layers.listOfSession(sessionId).some((layer) => layer.groupId === id)) {
            throw new Failure(
              'conflict',
              `The group ${name} has other layers by now; remove or move them first.`,
              { groupId: id },
            )
          }
          catalogue.groups.remove(id)
        }
      })
      emit('catalogueChanged', { subjects: ['stack'] })
      return {}
    },
  }
}

function idOfNew(groups: readonly Group[], index: number): number {
  const group = groups[index]
  if (group === undefined) {
    throw new Failure('invalid-input', `There is no new group number ${index + 1}.`, { index })
  }
  return group.id
}
