// Whether single-key shortcuts (letters, digits, signs) are enabled. Users of speech input can
// disable them (WCAG 2.2, success criterion 2.1.4).

import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { isBarePress, type KeyActName, keyActOf } from '../keys/key-table.ts'
import { keeping } from './kept-fields.ts'

interface SingleKeys {
  readonly areOn: boolean
}

const singleKeys = createStore<SingleKeys>()(
  persist(
    () => ({ areOn: true }),
    keeping<SingleKeys>({
      areOn: {
        key: 'takeloft.singleKeys',
        read: (text) => text !== 'off',
        write: (areOn) => (areOn ? 'on' : 'off'),
      },
    }),
  ),
)

/** Whether single-key shortcuts are enabled. */
export const useSingleKeys = (): boolean => useStore(singleKeys).areOn
/** Enables or disables single-key shortcuts; remembered on this machine. */
export const setSingleKeys = (areOn: boolean): void => {
  singleKeys.setState({ areOn })
}

/** As keyActOf, for keys that no field has; null also for single keys that are disabled. */
export function windowKeyActOf(
  event: Parameters<typeof keyActOf>[0],
  group: 'everywhere' | 'chain' | 'song' | 'row' | 'stages' | 'takes',
): KeyActName | null {
  const name = keyActOf(event, group)
  if (name === null || singleKeys.getState().areOn) return name
  return isBarePress(event) ? null : name
}
