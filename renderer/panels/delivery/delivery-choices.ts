// What was chosen and typed for the delivery of each session, kept while the window is open: a delivery that fails, or a
// dialog that is closed, loses nothing.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { DeliveryContents } from '../../../app/contract/delivery/delivery-request.ts'
import { DEFAULT_TEMPLATE } from '../../../app/contract/delivery/name-template.ts'
import type { SongRange } from '../../../app/contract/sections/song-range.ts'
import type { InputOf } from '../../../app/contract/wire/commands.ts'
import { type RangeChoices, WHOLE_SONG } from '../bounce/song-range-choice.ts'

type Request = InputOf<'previewDelivery'>

/** The fields of the dialog, as they are typed. */
export interface DeliveryChoices extends RangeChoices {
  /** null: the one that is offered. */
  readonly folder: string | null
  readonly sampleRateHz: NonNullable<Request['sampleRateHz']> | null
  readonly encoding: NonNullable<Request['encoding']>
  readonly template: string
  readonly contents: DeliveryContents
}

const USUAL: DeliveryChoices = {
  folder: null,
  sampleRateHz: null,
  encoding: 'pcm-24',
  template: DEFAULT_TEMPLATE,
  contents: { groups: true, layers: false, raw: true, aligned: true, reference: true },
  ...WHOLE_SONG,
}

const store = createStore<Readonly<Record<number, DeliveryChoices>>>()(() => ({}))

/** The choices of a session, and what changes some of them. */
export function useDeliveryChoices(
  sessionId: number,
): readonly [DeliveryChoices, (changes: Partial<DeliveryChoices>) => void] {
  const choices = useStore(store, (all) => all[sessionId]) ?? USUAL
  return [choices, (changes) => store.setState({ [sessionId]: { ...choices, ...changes } })]
}

/** The request of the choices for a part of the song. */
export const requestOf = (
  sessionId: number,
  { sampleRateHz, encoding, template, contents }: DeliveryChoices,
  range: SongRange,
): Request => ({ sessionId, sampleRateHz, encoding, template, contents, range })
