// Whether letters, digits and signs act by themselves. Who dictates, or rests a hand on the
// keyboard, can turn that off (WCAG 2.2, success criterion 2.1.4).

import { isBareCharacter, type KeyActName, keyActOf, strokesOf } from '../keys/key-table.ts'
import { createStore, useStore } from './store.ts'

const KEY = 'takeloft.singleKeys'
const singleKeys = createStore(localStorage.getItem(KEY) !== 'off')

export const useSingleKeys = (): boolean => useStore(singleKeys)

export function setSingleKeys(areOn: boolean): void {
  localStorage.setItem(KEY, areOn ? 'on' : 'off')
  singleKeys.set(areOn)
}

/** The act a key press asks for that is not meant for one control. */
export function windowKeyActOf(event: KeyboardEvent, group: 'everywhere' | 'chain'): KeyActName | null {
  const name = keyActOf(event, group)
  if (name === null || singleKeys.get()) return name
  return strokesOf(name).every(isBareCharacter) ? null : name
}
