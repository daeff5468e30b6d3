// Light as paper, ink-dark, or as the system says; remembered on this machine.

import { useSyncExternalStore } from 'react'
import { createStore, useStore } from './store.ts'

export const THEMES = ['system', 'light', 'dark'] as const
export type Theme = (typeof THEMES)[number]

const KEY = 'takeloft.theme'
const stored = THEMES.find((theme) => theme === localStorage.getItem(KEY))
const theme = createStore<Theme>(stored ?? 'system')
const systemIsDark = window.matchMedia('(prefers-color-scheme: dark)')

const paint = (): void => {
  const now = theme.get()
  document.documentElement.dataset.theme = now === 'system' ? (systemIsDark.matches ? 'dark' : 'light') : now
}

export function applyStoredTheme(): void {
  paint()
  systemIsDark.addEventListener('change', paint)
}

export function setTheme(next: Theme): void {
  localStorage.setItem(KEY, next)
  theme.set(next)
  paint()
}

export const useTheme = (): Theme => useStore(theme)

/** What is painted now; the system's choice may turn while the window is open. */
export const useEffectiveTheme = (): 'light' | 'dark' =>
  useSyncExternalStore(
    (watcher) => {
      const stop = theme.subscribe(watcher)
      systemIsDark.addEventListener('change', watcher)
      return () => {
        stop()
        systemIsDark.removeEventListener('change', watcher)
      }
    },
    () => {
      const now = theme.get()
      return now === 'system' ? (systemIsDark.matches ? 'dark' : 'light') : now
    },
  )
