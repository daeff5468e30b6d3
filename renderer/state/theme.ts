// The theme: light, dark, or that of the system; remembered on this machine.

import { useSyncExternalStore } from 'react'
import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { keeping, oneOf } from './kept-fields.ts'

/** The available themes; `system` follows the operating system. */
export const THEMES = ['system', 'light', 'dark'] as const
export type Theme = (typeof THEMES)[number]

interface Chosen {
  readonly theme: Theme
}

const chosen = createStore<Chosen>()(
  persist(
    () => ({ theme: 'system' }),
    keeping<Chosen>({ theme: { key: 'takeloft.theme', read: oneOf(THEMES) } }),
  ),
)
const systemIsDark = window.matchMedia('(prefers-color-scheme: dark)')

const effectiveTheme = (): 'light' | 'dark' => {
  const { theme } = chosen.getState()
  return theme === 'system' ? (systemIsDark.matches ? 'dark' : 'light') : theme
}

const paint = (): void => {
  document.documentElement.dataset.theme = effectiveTheme()
}

/** Called once, before the window is first drawn. */
export function applyStoredTheme(): void {
  paint()
  systemIsDark.addEventListener('change', paint)
}

/** Chooses and shows a theme; remembered on this machine. */
export function setTheme(theme: Theme): void {
  chosen.setState({ theme })
  paint()
}

/** The chosen theme, which may be `system`. */
export const useTheme = (): Theme => useStore(chosen).theme

function watchEffectiveTheme(watcher: () => void): () => void {
  const stop = chosen.subscribe(watcher)
  systemIsDark.addEventListener('change', watcher)
  return () => {
    stop()
    systemIsDark.removeEventListener('change', watcher)
  }
}

/** The theme that is shown; the system's may change while the window is open. */
export const useEffectiveTheme = (): 'light' | 'dark' =>
  useSyncExternalStore(watchEffectiveTheme, effectiveTheme)
