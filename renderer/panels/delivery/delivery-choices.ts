// What was chosen and typed for the delivery of each session, kept while the window is open: a delivery that fails, or a
// dialog that is closed, loses nothing.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { DeliveryContents } from '../../../app/contract/delivery/delivery-request.ts'
import { DEFAULT_TEMPLATE } from '../../../app/contract/delivery/name-template.ts'
import type { InputOf } from '../../../app/contract/wire/commands.ts'
import { parsePlayTime } from '../../formats/play-time.ts'

type Request = InputOf<'previewDelivery'>

/** `'song'`, `'times'`, or the id of a section. */
export type RangeChoice = 'song' | 'times' | number

/** The fields of the dialog, as they are typed. */
export interface DeliveryChoices {
  /** null: the one that is offered. */
  readonly folder: string | null
  readonly sampleRateHz: NonNullable<Request['sampleRateHz']> | null
  readonly encoding: NonNullable<Request['encoding']>
  readonly template: string
  readonly contents: DeliveryContents
  readonly range: RangeChoice
  readonly from: string
  readonly to: string
}

const USUAL: DeliveryChoices = {
  folder: null,
  sampleRateHz: null,
  encoding: 'pcm-24',
  template: DEFAULT_TEMPLATE,
  contents: { groups: true, layers: false, raw: true, aligned: true, reference: true },
  range: 'song',
  from: '0:00',
  to: '0:30',
}

const store = createStore<Readonly<Record<number, DeliveryChoices>>>()(() => ({}))

/** The choices of a session, and what changes some of them. */
export function useDeliveryChoices(
  sessionId: number,
): readonly [DeliveryChoices, (changes: Partial<DeliveryChoices>) => void] {
  const choices = useStore(store, (all) => all[sessionId]) ?? USUAL
  return [choices, (changes) => store.setState({ [sessionId]: { ...choices, ...changes } })]
}

/** The request of the choices; null where a time cannot be read. */
export function requestOf(
  sessionId: number,
  { sampleRateHz, encoding, template, contents, range, from, to }: DeliveryChoices,
  sessionRateHz: number,
): Request | null {
  const request = { sessionId, sampleRateHz, encoding, template, contents }
  if (range === 'song') return { ...request, range: { kind: 'song' } }
  if (range !== 'times') return { ...request, range: { kind: 'section', sectionId: range } }
  const [fromFrame, toFrame] = [parsePlayTime(from, sessionRateHz), parsePlayTime(to, sessionRateHz)]
  if (fromFrame === null || toFrame === null || toFrame <= fromFrame) return null
  return { ...request, range: { kind: 'frames', fromFrame, toFrame } }
}
