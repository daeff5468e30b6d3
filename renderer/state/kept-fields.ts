// Store fields that survive a reload, for zustand's persist: each is plain text under its own key in
// local storage, so that values stored by any version can be read.

import type { PersistOptions } from 'zustand/middleware'

export interface KeptField<T> {
  readonly key: string
  /** undefined if the text is no longer a valid value of the field; the default is used then. */
  readonly read: (text: string) => T | undefined
  /** Defaults to String(). Not called for null, which removes the entry. */
  readonly write?: (value: T) => string
}

/** @param fields the fields to keep; the other fields of the store start from their defaults */
export function keeping<S extends object>(
  fields: {
    readonly [K in keyof S]?: KeptField<S[K]>
  },
): PersistOptions<S, Partial<S>> {
  const entries = Object.entries(fields) as [keyof S, KeptField<S[keyof S]>][]
  return {
    // The middleware requires a name, although each field has its own key.
    name: entries.map(([, { key }]) => key).join(),
    partialize: (state) =>
      Object.fromEntries(entries.map(([field]) => [field, state[field]])) as unknown as Partial<S>,
    storage: {
      getItem: () => {
        const state: Partial<S> = {}
        for (const [field, { key, read }] of entries) {
          const text = localStorage.getItem(key)
          const value = text === null ? undefined : read(text)
          if (value !== undefined) state[field] = value
        }
        return { state }
      },
      setItem: (_name, { state }) => {
        for (const [field, { key, write = String }] of entries) {
          const value = state[field] ?? null
          if (value === null) localStorage.removeItem(key)
          else localStorage.setItem(key, write(value))
        }
      },
      removeItem: () => {
        for (const [, { key }] of entries) localStorage.removeItem(key)
      },
    },
  }
}

/** Accepts only the given texts. */
export const oneOf =
  <T extends string>(texts: readonly T[]) =>
  (text: string): T | undefined =>
    texts.find((one) => one === text)
