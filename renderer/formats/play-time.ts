// Formats session time for a running display, and reads it as it is typed.

const MINUS = '\u2212'

/** Minutes, seconds and milliseconds: 1:02.345; zero-padded after the minutes. */
export function formatPlayTime(frames: number, sampleRateHz: number): string {
  const ms = Math.round((Math.abs(frames) / sampleRateHz) * 1000)
  const sign = frames < 0 && ms > 0 ? MINUS : ''
  const seconds = Math.floor(ms / 1000) % 60
  return `${sign}${Math.floor(ms / 60_000)}:${String(seconds).padStart(2, '0')}.${String(ms % 1000).padStart(3, '0')}`
}

/** '1:02.345', '62.3' or '1:02' to frames; null for anything else. */
export function parsePlayTime(text: string, sampleRateHz: number): number | null {
  const match = /^([-\u2212]?)(?:(\d+):)?(\d+(?:[.,]\d+)?)$/.exec(text.trim())
  if (match === null) return null
  const seconds = Number(match[3]!.replace(',', '.'))
  if (match[2] !== undefined && seconds >= 60) return null
  const frames = Math.round((Number(match[2] ?? 0) * 60 + seconds) * sampleRateHz)
  return match[1] === '' || frames === 0 ? frames : -frames
}
