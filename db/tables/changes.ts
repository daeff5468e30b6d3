// Partial changes to an entry.

/** Fields to change; those left out or undefined stay, and null is a value. */
export type Changes<T> = { readonly [K in keyof T]?: T[K] | undefined }

/** The entry with the changes applied. */
export function changed<T extends object>(current: T, changes: NoInfer<Changes<T>>): T {
  const given = Object.entries(changes).filter(([, value]) => value !== undefined)
  return { ...current, ...Object.fromEntries(given) }
}
