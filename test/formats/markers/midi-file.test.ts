// Tempo maps and markers as MIDI files: bytes from the Standard MIDI File definition, and times as midicsv reads them.

import { execFileSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import type { FileMarker } from '../../../app/formats/markers/file-marker.ts'
import { midiFile } from '../../../app/formats/markers/midi-file.ts'
import { frameOf, type Metre, tempoSections } from '../../../app/words/bars/tempo-map.ts'
import { hasTool } from '../../require-tool.ts'

const hasMidicsv = hasTool('midicsv')

const marker = (name: string, startFrame: number): FileMarker => ({ name, startFrame, frames: 0, note: '' })
const RATE = 48_000
const metre = (
  tempoBpm: number,
  changes: Metre['tempoChanges'] = [],
  beatsPerBar = 4,
  beatUnit = 4,
): Metre => ({
  sampleRateHz: RATE,
  ...{ tempoBpm, beatsPerBar, beatUnit, tempoChanges: changes },
})

interface Read {
  readonly tempos: { tick: number; q: number }[]
  readonly metres: { tick: number; beats: number; unit: number }[]
  readonly markers: { tick: number; name: string }[]
  /** Seconds of a tick by the tempos of the file. */
  secondsOf(tick: number): number
}

/** The file as midicsv lists it. */
function read(bytes: Buffer): Read {
  const rows = execFileSync('midicsv', ['-'], { input: bytes })
    .toString()
    .split('\n')
    .map((line) => line.split(', '))
  const of = (kind: string) => rows.filter((row) => row[2] === kind)
  const tempos = of('Tempo').map((row) => ({ tick: Number(row[1]), q: Number(row[3]) }))
  return {
    tempos,
    metres: of('Time_signature').map((row) => ({
      tick: Number(row[1]),
      beats: Number(row[3]),
      unit: 2 ** Number(row[4]),
    })),
    markers: of('Marker_t').map((row) => ({ tick: Number(row[1]), name: row[3]?.slice(1, -1) ?? '' })),
    secondsOf(tick) {
      let seconds = 0
      tempos.forEach(({ tick: from, q }, k) => {
        const to = Math.min(tick, tempos[k + 1]?.tick ?? Number.POSITIVE_INFINITY)
        if (to > from) seconds += ((to - from) * q) / 960 / 1e6
      })
      return seconds
    },
  }
}

describe('a file of two markers at 120 BPM', () => {
  it('is these 84 bytes', () => {
    const hex = [
      '4d546864 00000006 0001 0001 03c0  4d54726b 0000003e',
      '00ff0310 54616b656c6f6674206d61726b657273  00ff5804 04021808  00ff5103 07a120',
      '8f00ff0607 56657273652031  f800ff0606 43686f727573  00ff2f00',
    ]
    const bytes = midiFile(metre(120), 0, [marker('Verse 1', RATE), marker('Chorus', 9 * RATE)], RATE)
    expect(bytes.toString('hex')).toBe(hex.join('').replaceAll(' ', ''))
  })

  it('says what readers assume where no tempo is known, so that markers are at their times', () => {
    const bytes = midiFile(null, 0, [marker('Verse 1', RATE), marker('Chorus', 9 * RATE)], RATE)
    expect(bytes).toEqual(
      midiFile(metre(120), 0, [marker('Verse 1', RATE), marker('Chorus', 9 * RATE)], RATE),
    )
  })
})

describe.skipIf(!hasMidicsv)('D2: markers as midicsv reads them', () => {
  it('are within half a tick over 10 minutes at any tempo, with and without changes, at any start', () => {
    const random = createRandom(7).uniform
    const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!
    let worstTicks = 0
    for (let k = 0; k < 60; k++) {
      const tempo = (): number => Math.round((20 + random() * 380) * 100) / 100
      const changes = [9, 17, 40].slice(0, Math.floor(random() * 4)).map((bar) => ({
        bar,
        tempoBpm: tempo(),
        beatsPerBar: pick([3, 4, 5, 7]),
        beatUnit: pick([2, 4, 8, 16] as const),
      }))
      const map = metre(tempo(), changes, pick([3, 4, 6]), pick([4, 8]))
      const startFrame = pick([0, 0, -1000, -RATE, 12_345, 20 * RATE])
      const markers = Array.from({ length: 20 }, (_, i) => marker(`m${i}`, Math.floor(random() * 600 * RATE)))
      const file = read(midiFile(map, startFrame, markers, RATE))
      for (const { name, startFrame: frame } of markers) {
        const tick = file.markers.find((one) => one.name === name)!.tick
        const q = file.tempos.findLast((one) => one.tick <= tick)!.q
        const off = Math.abs(file.secondsOf(tick) - frame / RATE)
        worstTicks = Math.max(worstTicks, off / (q / 960 / 1e6))
      }
    }
    expect(worstTicks).toBeLessThanOrEqual(0.5 + 1e-6)
    expect(worstTicks).toBeGreaterThan(0.4)
  })

  it('do not drift: 300 s at 173.33 BPM is the nearest tick by the tempo that is written', () => {
    const file = read(midiFile(metre(173.33), 0, [marker('m', 300 * RATE)], RATE))
    expect(Math.abs(file.secondsOf(file.markers[0]!.tick) - 300)).toBeLessThan(0.5 * (346_156 / 960 / 1e6))
  })
})

describe.skipIf(!hasMidicsv)('tempo changes', () => {
  const map = metre(100, [
    { bar: 3, tempoBpm: 90, beatsPerBar: 6, beatUnit: 8 },
    { bar: 5, tempoBpm: 140.5, beatsPerBar: 3, beatUnit: 4 },
  ])

  it('stand on bar lines, with quarter notes a minute whatever the beat unit', () => {
    const file = read(midiFile(map, 0, [], RATE))
    expect(file.metres).toEqual([
      { tick: 0, beats: 4, unit: 4 },
      { tick: 2 * 3840, beats: 6, unit: 8 },
      { tick: 2 * 3840 + 2 * 2880, beats: 3, unit: 4 },
    ])
    expect(file.tempos.map(({ q }) => q)).toEqual([600_000, 666_667, 427_046])
  })

  it('bars are where they are in the session, to 0.01 ms, also where the files start within a bar', () => {
    const bars = [3, 4, 5, 9, 30]
    for (const startFrame of [0, -1, -1000, -70_000, -200_000, 5000, 100_000, 400_000]) {
      const file = read(midiFile(map, startFrame, [], RATE))
      const lines: number[] = []
      const last = file.metres.at(-1)!
      file.metres.forEach(({ tick, beats, unit }, k) => {
        const to = file.metres[k + 1]?.tick ?? tick + 60 * ((beats * 3840) / unit)
        for (let at = tick; at < to; at += (beats * 3840) / unit) lines.push(file.secondsOf(at))
      })
      lines.push(file.secondsOf(last.tick + 60 * ((last.beats * 3840) / last.unit)))
      for (const bar of bars) {
        const seconds = (frameOf(tempoSections(map), { bar, beat: 0 }) - startFrame) / RATE
        // The bar that the lead-in is in has no line of its own.
        if (seconds < 2.5) continue
        const nearest = Math.min(...lines.map((line) => Math.abs(line - seconds)))
        expect(nearest, `bar ${bar} from ${startFrame}`).toBeLessThan(1e-5 + 1e-6 * bar)
      }
      // A lead-in is one bar of half to one and a half of the usual length.
      const [first, second] = file.tempos
      if (startFrame !== 0 && second !== undefined) {
        expect(first!.q).toBeGreaterThan(0.49 * 600_000)
        expect(first!.q).toBeLessThan(1.51 * 666_667)
      }
    }
  })
})
