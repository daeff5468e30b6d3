// Gives a session the sound of an earlier one, in one undo step.

import type { Group, Layer, SessionContents } from '../../app/contract/entities.ts'
import type { RecallChange, RecallStep } from '../formats/recall/plan-recall.ts'
import { client } from '../state/connection.ts'
import { type Doing, tryToPerform } from './undoable.ts'

/** One write of the act, and what takes it back. */
interface Write {
  run(): Promise<unknown>
  takeBack(): Promise<unknown>
}

/**
 * Applies the steps to a session; undo takes all of them back. If one fails, those before it are taken back.
 * @param label as shown after Undo
 * @throws Failure of the services
 */
export const applyRecall = (
  contents: SessionContents,
  steps: readonly RecallStep[],
  label: string,
): Promise<void> => tryToPerform({ label, ...inOrder(writesOf(contents, steps)) })

function inOrder(writes: readonly Write[]): Doing {
  return {
    async redo() {
      for (const [done, write] of writes.entries()) {
        try {
          await write.run()
        } catch (error) {
          for (const one of writes.slice(0, done).toReversed()) await one.takeBack()
          throw error
        }
      }
    },
    async undo() {
      for (const write of writes.toReversed()) await write.takeBack()
    },
  }
}

function writesOf({ session, groups }: SessionContents, steps: readonly RecallStep[]): Write[] {
  /** Groups that this act creates; they keep their ids when it is redone. */
  const made = new Map<string, Group>()
  const groupIdOf = (name: string): number | undefined =>
    made.get(name.toLowerCase())?.id ??
    groups.find((one) => one.name.toLowerCase() === name.toLowerCase())?.id

  const creatingGroup = (fields: Pick<Group, 'name' | 'chainVersionId' | 'gainDb'>): Write => {
    const key = fields.name.toLowerCase()
    return {
      run: async () => {
        made.set(key, await client.createGroup(made.get(key) ?? { sessionId: session.id, ...fields }))
      },
      takeBack: async () => client.removeGroup({ id: made.get(key)?.id ?? 0 }),
    }
  }
  const moving = ({ id, groupId }: Layer, groupName: string): Write => {
    const moveTo = (to: number): Promise<unknown> => client.updateLayer({ id, changes: { groupId: to } })
    return { run: () => moveTo(groupIdOf(groupName) ?? groupId), takeBack: () => moveTo(groupId) }
  }
  const writeOf = (change: RecallChange): Write => {
    switch (change.kind) {
      case 'session':
        return setting(session, change.fields, (changes) => client.updateSession({ id: session.id, changes }))
      case 'group':
        return setting(change.group, change.fields, (changes) =>
          client.updateGroup({ id: change.group.id, changes }),
        )
      case 'new-group':
        return creatingGroup(change.fields)
      case 'layer':
        return setting(change.layer, change.fields, (changes) =>
          client.updateLayer({ id: change.layer.id, changes }),
        )
      case 'layer-group':
        return moving(change.layer, change.groupName)
    }
  }
  // Groups first, because layers move into them.
  return steps.toSorted((a, b) => orderOf(a) - orderOf(b)).map(({ change }) => writeOf(change))
}

const orderOf = ({ change }: RecallStep): number => (change.kind === 'new-group' ? 0 : 1)

function setting<T extends object, F extends object>(
  entity: T,
  fields: F,
  set: (fields: F) => Promise<unknown>,
): Write {
  const before = Object.fromEntries(
    Object.keys(fields).map((key) => [key, entity[key as keyof T & string]]),
  ) as F
  return { run: () => set(fields), takeBack: () => set(before) }
}
