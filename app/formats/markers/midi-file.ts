// Tempo map and markers as a Standard MIDI File (MIDI Manufacturers Association, Standard MIDI Files 1.0): type 1 with
// one track, because readers look for tempo and markers in the first.

import type { Metre } from '../../words/bars/tempo-map.ts'
import type { FileMarker } from './file-marker.ts'
import { type MidiTempo, midiTempos, TICKS_PER_QUARTER, tickAt } from './midi-tempo.ts'

const TRACK_NAME = 'Takeloft markers'

/** Kinds of meta events. */
const META = { trackName: 0x03, marker: 0x06, endOfTrack: 0x2f, tempo: 0x51, metre: 0x58 } as const

/** MIDI clocks of a quarter note, and the notated 32nds of one. */
const CLOCKS_PER_QUARTER = 24
const THIRTY_SECONDS = 8

interface Event {
  readonly tick: number
  readonly bytes: Buffer
}

/** A number in seven bits a byte, all but the last with the high bit set. */
function variableLength(value: number): Buffer {
  const bytes = [value & 0x7f]
  for (let rest = Math.floor(value / 128); rest > 0; rest = Math.floor(rest / 128)) {
    bytes.unshift((rest & 0x7f) | 0x80)
  }
  return Buffer.from(bytes)
}

const meta = (kind: number, contents: Uint8Array): Buffer =>
  Buffer.concat([Buffer.of(0xff, kind), variableLength(contents.length), contents])

/** Readers differ in which encoding they expect, so text is ASCII. */
const ascii = (text: string): Buffer =>
  Buffer.from(
    text
      .normalize('NFKD')
      .replaceAll(/\p{M}/gu, '')
      .replaceAll(/[^\x20-\x7e]/gu, '?'),
    'latin1',
  )

function tempoEvents({ tick, microsecondsPerQuarter, beatsPerBar, beatUnit }: MidiTempo): Event[] {
  const tempo = Buffer.alloc(3)
  tempo.writeUIntBE(microsecondsPerQuarter, 0, 3)
  const clocks = (CLOCKS_PER_QUARTER * 4) / beatUnit
  const metre = Buffer.of(beatsPerBar, Math.log2(beatUnit), clocks, THIRTY_SECONDS)
  return [
    { tick, bytes: meta(META.metre, metre) },
    { tick, bytes: meta(META.tempo, tempo) },
  ]
}

/**
 * The whole file. A marker is at the tick nearest to its sample: half a tick is 0.26 ms at 120 quarter notes a minute.
 * @param startFrame session frame of the files' first sample, at the rate of `metre`
 * @param markers at `sampleRateHz`, in any order
 */
export function midiFile(
  metre: Metre | null,
  startFrame: number,
  markers: readonly FileMarker[],
  sampleRateHz: number,
): Buffer {
  const tempos = midiTempos(metre, startFrame)
  const events: Event[] = [
    { tick: 0, bytes: meta(META.trackName, ascii(TRACK_NAME)) },
    ...tempos.flatMap(tempoEvents),
    ...markers.map(({ name, startFrame: frame }) => ({
      tick: tickAt(tempos, (frame / sampleRateHz) * 1e6),
      bytes: meta(META.marker, ascii(name)),
    })),
  ].sort((one, other) => one.tick - other.tick)
  let at = 0
  const track = events.flatMap(({ tick, bytes }) => {
    const delta = variableLength(tick - at)
    at = tick
    return [delta, bytes]
  })
  track.push(Buffer.of(0), meta(META.endOfTrack, Buffer.alloc(0)))
  const head = Buffer.alloc(6)
  head.writeUInt16BE(1, 0)
  head.writeUInt16BE(1, 2)
  head.writeUInt16BE(TICKS_PER_QUARTER, 4)
  return Buffer.concat([chunk('MThd', head), chunk('MTrk', Buffer.concat(track))])
}

function chunk(id: string, contents: Uint8Array): Buffer {
  const head = Buffer.alloc(8)
  head.write(id, 0, 'latin1')
  head.writeUInt32BE(contents.length, 4)
  return Buffer.concat([head, contents])
}
