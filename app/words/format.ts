// Formats numbers for display: fixed decimal places, a real minus sign, a narrow no-break space
// before the unit.

const MINUS = '\u2212'
const GAP = '\u202f'

/** A number with a real minus sign; a value that rounds to zero has none. */
export function formatNumber(value: number, places: number): string {
  const text = Math.abs(value).toFixed(places)
  return value < 0 && Number(text) !== 0 ? `${MINUS}${text}` : text
}

/** With every digit from which the same number is read back, and at least `places` decimal places. */
export function exactNumber(value: number, places = 0): string {
  const text = Math.abs(value).toString()
  // Below a millionth there is an exponent, which nobody types.
  if (text.includes('e')) return formatNumber(value, Math.max(places, SMALL_PLACES))
  const [whole = '', decimals = ''] = text.split('.')
  const figures = places === 0 && decimals === '' ? whole : `${whole}.${decimals.padEnd(places, '0')}`
  return value < 0 ? `${MINUS}${figures}` : figures
}
const SMALL_PLACES = 9

export const withUnit = (number: string, unit: string): string =>
  unit === '' ? number : `${number}${GAP}${unit}`

/** A level or loudness; an em dash if the material has none. */
export const formatLevel = (value: number | null | undefined, unit: string, places = 1): string =>
  value === null || value === undefined ? '—' : withUnit(formatNumber(value, places), unit)

/** A gain with a plus or minus sign: +2.0 dB. */
export const formatGain = (gainDb: number, places = 1): string => {
  const text = formatNumber(gainDb, places)
  return withUnit(Number(gainDb.toFixed(places)) > 0 ? `+${text}` : text, 'dB')
}

/** 80 Hz, 31.5 Hz, 1.25 kHz: up to two decimals below 100 Hz, one below 1 kHz, three in kHz. */
export function formatFrequency(frequencyHz: number): string {
  return frequencyHz < 1000
    ? withUnit(String(Number(frequencyHz.toFixed(frequencyHz < 100 ? 2 : 1))), 'Hz')
    : withUnit(String(Number((frequencyHz / 1000).toFixed(3))), 'kHz')
}

/** 44.1 kHz, 48 kHz. */
export const formatRate = (sampleRateHz: number): string => withUnit(String(sampleRateHz / 1000), 'kHz')

/** Minutes, seconds and tenths: 3:25.4; from one hour: 1:03:25.4. */
export function formatDuration(seconds: number): string {
  const tenths = Math.round(Math.abs(seconds) * 10)
  const sign = seconds < 0 && tenths > 0 ? MINUS : ''
  const hours = Math.floor(tenths / 36_000)
  const minutes = Math.floor(tenths / 600) % 60
  const rest = ((tenths % 600) / 10).toFixed(1).padStart(4, '0')
  return hours > 0
    ? `${sign}${hours}:${String(minutes).padStart(2, '0')}:${rest}`
    : `${sign}${minutes}:${rest}`
}

/** C, L 30, R 100: position in percent, where 100 is hard left or right. */
export function formatPan(pan: number): string {
  const percent = Math.round(Math.abs(pan) * 100)
  if (percent === 0) return 'C'
  return `${pan < 0 ? 'L' : 'R'}${GAP}${percent}`
}

/** As formatPan, with every digit of the percentage. */
export const exactPan = (pan: number): string =>
  pan === 0 ? 'C' : `${pan < 0 ? 'L' : 'R'}${GAP}${exactNumber(Math.abs(pan) * 100)}`

/** As formatGain, with every digit. */
export const exactGain = (gainDb: number): string =>
  withUnit(gainDb > 0 ? `+${exactNumber(gainDb, 1)}` : exactNumber(gainDb, 1), 'dB')

/** Parses a typed pan to -1 to +1: C, L30, 30 L, R, -30, 30. null for anything else. */
export function parsePan(text: string): number | null {
  const compact = text.replaceAll(MINUS, '-').replaceAll(/[\s%]/g, '').toLowerCase()
  if (compact === 'c' || compact === 'centre' || compact === 'center') return 0
  const match = /^(?:([lr])(\d+(?:[.,]\d+)?)?|(\d+(?:[.,]\d+)?)([lr])|([+-]?\d+(?:[.,]\d+)?))$/.exec(compact)
  if (match === null) return null
  const side = match[1] ?? match[4]
  const percent = Number((match[2] ?? match[3] ?? match[5] ?? '100').replace(',', '.'))
  const pan = (side === 'l' ? -percent : percent) / 100
  return Math.abs(pan) <= 1 ? pan : null
}

/** Date and time of an ISO timestamp, in the local time zone. */
export const formatMoment = (iso: string): string =>
  new Date(iso).toLocaleString(undefined, {
    year: 'numeric',
    month: 'short',
    day: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  })

/** A 'yyyy-mm-dd' date in the format of the locale. */
export const formatDate = (isoDate: string): string =>
  new Date(`${isoDate}T12:00:00`).toLocaleDateString(undefined, {
    year: 'numeric',
    month: 'short',
    day: 'numeric',
  })

/** The local date of an ISO timestamp, yyyy-mm-dd. */
export function isoDateOf(iso: string): string {
  const at = new Date(iso)
  const two = (number: number): string => String(number).padStart(2, '0')
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`
}

export const formatTimeOfDay = (iso: string): string =>
  new Date(iso).toLocaleTimeString(undefined, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' })

const ENCODING_WORDS: Readonly<Record<string, string>> = {
  'pcm-8': '8-bit',
  'pcm-16': '16-bit',
  'pcm-24': '24-bit',
  'pcm-32': '32-bit',
  'float-32': '32-bit float',
  'float-64': '64-bit float',
}

/** WAV 24-bit, FLAC 16-bit, AIFF 32-bit float. */
export const formatFile = (file: { container: string; encoding: string }): string =>
  `${file.container.toUpperCase()} ${ENCODING_WORDS[file.encoding] ?? file.encoding}`

/** 512 kB, 12.3 MB, 1.2 GB; powers of 1000. */
export function formatBytes(bytes: number): string {
  if (bytes < 1e6) return withUnit(formatNumber(Math.max(1, bytes / 1e3), 0), 'kB')
  return bytes < 1e9
    ? withUnit(formatNumber(bytes / 1e6, 1), 'MB')
    : withUnit(formatNumber(bytes / 1e9, 2), 'GB')
}

/** mono, stereo, 6 channels. */
export const formatChannels = (channels: number): string =>
  channels === 1 ? 'mono' : channels === 2 ? 'stereo' : `${channels} channels`
