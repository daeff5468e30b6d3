// Which dialog of the exchange of voices is open: one that writes a voice to a file, or one that takes a file in.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

export type ExchangeDialog =
  | {
      readonly is: 'export'
      readonly voiceId: number
      readonly voiceName: string
      readonly artistName: string
    }
  | { readonly is: 'import' }

const store = createStore<{ readonly open: ExchangeDialog | null }>()(() => ({ open: null }))

export const useExchangeDialog = (): ExchangeDialog | null => useStore(store).open
export const showVoiceExport = (voice: Omit<Extract<ExchangeDialog, { is: 'export' }>, 'is'>): void =>
  store.setState({ open: { is: 'export', ...voice } })
export const showVoiceImport = (): void => store.setState({ open: { is: 'import' } })
export const closeExchange = (): void => store.setState({ open: null })
