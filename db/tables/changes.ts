// A partial change to an entry: fields that are left out or undefined stay; null is a value.

/** Fields to change; those left out or undefined stay. */
export type Changes<T> = { readonly [K in keyof T]?: T[K] | undefined }

/** The entry with the changes made. */
export function changed<T extends object>(current: T, changes: NoInfer<Changes<T>>): T {
  const given = Object.entries(changes).filter(([, value]) => value !== undefined)
  return { ...current, ...Object.fromEntries(given) }
}
