// A value that components can read and any code can change; the window's shared state stands on it.

import { useSyncExternalStore } from 'react'

export interface Store<T> {
  get(): T
  set(next: T | ((now: T) => T)): void
  subscribe(watcher: () => void): () => void
}

export function createStore<T>(initial: T): Store<T> {
  let value = initial
  const watchers = new Set<() => void>()
  return {
    get: () => value,
    set(next) {
      const changed = typeof next === 'function' ? (next as (now: T) => T)(value) : next
      if (Object.is(changed, value)) return
      value = changed
      for (const watcher of watchers) watcher()
    },
    subscribe(watcher) {
      watchers.add(watcher)
      return () => watchers.delete(watcher)
    },
  }
}

export const useStore = <T>(store: Store<T>): T => useSyncExternalStore(store.subscribe, store.get)
