// A copy of plain data with one place changed.

/** `path` names the place with dots; undefined takes it out. */
export function changed(data: unknown, path: string, value: unknown): unknown {
  const copy: unknown = structuredClone(data)
  const names = path.split('.')
  const last = names.pop()!
  const place = names.reduce((at, name) => (at as Record<string, unknown>)[name], copy) as Record<
    string,
    unknown
  >
  if (value === undefined) delete place[last]
  else place[last] = value
  return copy
}
