// Fields of a store that outlast a reload, for zustand's persist: each as plain text under a
// key of its own in local storage, so that the values of every version of Takeloft are read.

import type { PersistOptions } from 'zustand/middleware'

export interface KeptField<T> {
  readonly key: string
  /** undefined where the text is no value of the field any more: then the default stays. */
  readonly read: (text: string) => T | undefined
  /** String() where it is left out; null is kept as no entry. */
  readonly write?: (value: T) => string
}

/** @param fields the fields to keep; the others of the store start from their defaults */
export function keeping<S extends object>(
  fields: {
    readonly [K in keyof S]?: KeptField<S[K]>
  },
): PersistOptions<S, Partial<S>> {
  const entries = Object.entries(fields) as [keyof S, KeptField<S[keyof S]>][]
  return {
    // The middleware asks for a name; each field has its own.
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

/** Reads one of a list of texts. */
export const oneOf =
  <T extends string>(texts: readonly T[]) =>
  (text: string): T | undefined =>
    texts.find((one) => one === text)
