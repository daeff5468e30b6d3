// Where the file of a worker thread lies: beside its caller, as source or as built.

/** @param from `import.meta.url` of the caller */
export function threadEntry(from: string, name: string): URL {
  return new URL(`./${name}${from.endsWith('.ts') ? '.ts' : '.js'}`, from)
}
