// Text of markers: the standards say ASCII or Latin-1, and programs write UTF-8 as well.

/** UTF-8 where the bytes are that, else Windows-1252, up to the first NUL. */
export function markerText(bytes: Uint8Array): string {
  const end = bytes.indexOf(0)
  const text = end === -1 ? bytes : bytes.subarray(0, end)
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(text).trim()
  } catch {
    return new TextDecoder('windows-1252').decode(text).trim()
  }
}
