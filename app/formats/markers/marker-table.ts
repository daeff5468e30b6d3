// Markers as a table for any program: CSV (RFC 4180), UTF-8, lines ended by CR LF.

import { type FileMarker, kindOf } from './file-marker.ts'

const HEAD = ['name', 'kind', 'start_samples', 'length_samples', 'start_hms', 'sample_rate_hz', 'note']

/** Spreadsheets run a cell that begins with one of these as a formula (OWASP, CSV injection). */
const FORMULA = /^[=+\-@\t\r]/

/** Quoted where the text has a comma, a quote or a line break. */
function cell(text: string): string {
  const harmless = FORMULA.test(text) ? `'${text}` : text
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless
}

/** Hours, minutes, seconds and thousandths: 00:01:02.345. */
function hms(frame: number, sampleRateHz: number): string {
  const ms = Math.round((frame / sampleRateHz) * 1000)
  const two = (value: number): string => String(Math.floor(value)).padStart(2, '0')
  return `${two(ms / 3_600_000)}:${two((ms / 60_000) % 60)}:${two((ms / 1000) % 60)}.${String(ms % 1000).padStart(3, '0')}`
}

/** The whole file. */
export function markerTable(markers: readonly FileMarker[], sampleRateHz: number): string {
  const rows = markers.map((marker) => [
    cell(marker.name),
    kindOf(marker),
    marker.startFrame,
    marker.frames,
    hms(marker.startFrame, sampleRateHz),
    sampleRateHz,
    cell(marker.note),
  ])
  return [HEAD, ...rows].map((row) => `${row.join(',')}\r\n`).join('')
}
