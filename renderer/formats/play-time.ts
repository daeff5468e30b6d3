// Formats session time for a running display.

const MINUS = '\u2212'

/** Minutes, seconds and milliseconds: 1:02.345; zero-padded after the minutes. */
export function formatPlayTime(frames: number, sampleRateHz: number): string {
  const ms = Math.round((Math.abs(frames) / sampleRateHz) * 1000)
  const sign = frames < 0 && ms > 0 ? MINUS : ''
  const seconds = Math.floor(ms / 1000) % 60
  return `${sign}${Math.floor(ms / 60_000)}:${String(seconds).padStart(2, '0')}.${String(ms % 1000).padStart(3, '0')}`
}
