// Sync points of iXML (SYNC_POINT_LIST). Only those counted from the start of the file; absolute ones count from
// midnight, and their time stamp is that of the file.

import type { FileMarker } from './file-marker.ts'
import { markerText } from './marker-text.ts'

const ENTITIES: Readonly<Record<string, string>> = { lt: '<', gt: '>', amp: '&', quot: '"', apos: "'" }

const unescaped = (text: string): string =>
  text.replaceAll(
    /&(?:(lt|gt|amp|quot|apos)|#(\d{1,7})|#x([\da-f]{1,6}));/gi,
    (whole, name, decimal, hex) => {
      if (name !== undefined) return ENTITIES[name.toLowerCase()] ?? whole
      const code = Number.parseInt(decimal ?? hex, decimal === undefined ? 16 : 10)
      return code > 0 && code <= 0x10ffff ? String.fromCodePoint(code) : ''
    },
  )

/** @param xml contents of the chunk iXML; documents without that list give none */
export function readSyncPoints(xml: Uint8Array): FileMarker[] {
  const text = markerText(xml)
  return text
    .split('<SYNC_POINT>')
    .slice(1)
    .flatMap((rest) => {
      const end = rest.indexOf('</SYNC_POINT>')
      const point = end === -1 ? '' : rest.slice(0, end)
      const field = (name: string): string => {
        const from = point.indexOf(`<SYNC_POINT_${name}>`)
        const to = point.indexOf(`</SYNC_POINT_${name}>`)
        const start = from + name.length + '<SYNC_POINT_>'.length
        return from === -1 || to < start ? '' : unescaped(point.slice(start, to)).trim()
      }
      const low = wholeOf(field('LOW'))
      if (low === null || field('TYPE').toUpperCase() !== 'RELATIVE') return []
      const frame = (wholeOf(field('HIGH')) ?? 0) * 2 ** 32 + low
      const name = field('COMMENT')
      return [{ name, note: '', frame, frames: wholeOf(field('EVENT_DURATION')) ?? 0 }]
    })
}

const wholeOf = (text: string): number | null => {
  const value = /^\d{1,10}$/.test(text) ? Number(text) : Number.NaN
  return value <= 0xffffffff ? value : null
}
