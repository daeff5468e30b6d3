// Locates the file of a worker thread beside its caller: the source (.ts) or the built file (.js).

/** @param from `import.meta.url` of the caller */
export function threadEntry(from: string, name: string): URL {
  return new URL(`./${name}${from.endsWith('.ts') ? '.ts' : '.js'}`, from)
}
