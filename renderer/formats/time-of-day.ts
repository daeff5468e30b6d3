// Reads a time of day as it is typed.

/** '14:23:05', '14.23' or '0' as seconds since midnight; null if it is no time of a day. */
export function parseTimeOfDay(text: string): number | null {
  const parts = /^\s*(\d{1,2})(?:[:.](\d{1,2}))?(?:[:.](\d{1,2}))?\s*$/.exec(text)
  if (parts === null) return null
  const [hours, minutes, seconds] = parts.slice(1).map((part) => Number(part ?? 0))
  return hours < 24 && minutes < 60 && seconds < 60 ? hours * 3600 + minutes * 60 + seconds : null
}
