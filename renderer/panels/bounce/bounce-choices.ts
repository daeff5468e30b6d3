// What was chosen and typed for the bounce of each session, kept while the window is open: a bounce that fails, or a dialog
// that is closed, loses nothing.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { StemEncoding } from '../../../app/contract/wire/commands.ts'
import { type RangeChoices, WHOLE_SONG } from './song-range-choice.ts'

interface BounceChoices extends RangeChoices {
  /** null: the one that is offered. */
  readonly folder: string | null
  readonly encoding: StemEncoding
  readonly layerStems: boolean
}

const USUAL: BounceChoices = { folder: null, encoding: 'pcm-24', layerStems: false, ...WHOLE_SONG }

const store = createStore<Readonly<Record<number, BounceChoices>>>()(() => ({}))

/** The choices of a session, and what changes some of them. */
export function useBounceChoices(
  sessionId: number,
): readonly [BounceChoices, (changes: Partial<BounceChoices>) => void] {
  const choices = useStore(store, (all) => all[sessionId]) ?? USUAL
  return [choices, (changes) => store.setState({ [sessionId]: { ...choices, ...changes } })]
}

/** Once a folder has a bounce, the next one needs another. */
export const forgetBounceFolder = (sessionId: number): void =>
  store.setState((all) => ({ [sessionId]: { ...(all[sessionId] ?? USUAL), folder: null } }))
