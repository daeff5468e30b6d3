// Whether the dialog that restores an archive is open; the start page and the ledger open it.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

const store = createStore<{ readonly isOpen: boolean }>()(() => ({ isOpen: false }))

export const useRestoreIsOpen = (): boolean => useStore(store).isOpen
export const showRestore = (): void => store.setState({ isOpen: true })
export const closeRestore = (): void => store.setState({ isOpen: false })
