// Dry takes in rooms whose decay time was chosen (`inRoom`), sung by the demo's singers and spoken by people.

import { describe, expect, it } from 'vitest'
import { haveMaterial } from '../../require-tool.ts'
import {
  addWhiteNoise,
  announcements,
  CLIPS,
  checkOf,
  phrasedTake,
  RATE_HZ,
  SINGERS,
  SYLLABLES,
  songTake,
  syllables,
} from '../../signals/checking.ts'
import { inRoom } from '../../signals/rooms.ts'

const SECONDS = 20
const short = (samples: ArrayLike<number>): Float64Array =>
  Float64Array.from(samples).subarray(0, SECONDS * RATE_HZ)

const findingOf = (samples: Float64Array) =>
  checkOf(samples).findings.find(({ kind }) => kind === 'reverberation')

/** Takes with pauses, in which sounds end freely. */
function voicesWithPauses(): Float64Array[] {
  const generated = SINGERS.map((singer) => phrasedTake(singer, 2, true).samples)
  const spoken = haveMaterial(CLIPS, SYLLABLES)
    ? [announcements(), ...['en', 'de'].map((language) => syllables(language))]
    : []
  return [...generated, ...spoken].map(short)
}

/** Songs sung in one piece: few sounds end freely. */
const songs = (): Float64Array[] => SINGERS.map((singer) => short(songTake(singer, 3).samples))

describe('reverberation', () => {
  const pausing = voicesWithPauses()
  const legato = songs()
  const voices = [...pausing, ...legato]
  const inRoomOf = (dry: Float64Array, decaySeconds: number): Float64Array =>
    addWhiteNoise(inRoom(dry, RATE_HZ, { decaySeconds }), -80, 4)

  it('is not found in dry takes', () => {
    for (const [i, dry] of voices.entries()) expect(findingOf(dry), `voice ${i}`).toBeUndefined()
  })

  it.each([0.6, 1])('is found in rooms of %d s, within a fifth of their decay', (decaySeconds) => {
    const decays = pausing.map((dry) => findingOf(inRoomOf(dry, decaySeconds))?.value ?? Number.NaN)
    console.log(`  ${decays.map((decay) => decay.toFixed(2)).join(' ')} s`)
    for (const [i, decay] of decays.entries()) {
      expect(Math.abs(decay / decaySeconds - 1), `voice ${i}`).toBeLessThan(0.2)
    }
  })

  it('is roughly right or not claimed in songs without pauses', () => {
    for (const decaySeconds of [0.6, 1]) {
      for (const [i, dry] of legato.entries()) {
        const decay = findingOf(inRoomOf(dry, decaySeconds))?.value ?? decaySeconds
        expect(Math.abs(decay / decaySeconds - 1), `song ${i} in ${decaySeconds} s`).toBeLessThan(0.3)
      }
    }
  })

  it('is not found where the voice is well over its room, as close to the mic', () => {
    for (const [i, dry] of voices.entries()) {
      const close = addWhiteNoise(inRoom(dry, RATE_HZ, { decaySeconds: 0.3, directDb: 15 }), -80, 4)
      expect(findingOf(close), `voice ${i}`).toBeUndefined()
    }
  })

  it('says nothing of noise, and nothing of fewer sounds than tell a room', () => {
    /** Sounds of 0.2 s that die away by 60 dB in one second, over noise. */
    const ringing = (count: number): Float64Array => {
      const take = addWhiteNoise(new Float64Array(SECONDS * RATE_HZ), -80, 1)
      const hiss = addWhiteNoise(new Float64Array(2 * RATE_HZ), -20, 2)
      for (let k = 0; k < count; k++) {
        for (let n = 0; n < hiss.length; n++) {
          const over = Math.max(0, n / RATE_HZ - 0.2)
          take[n + (1 + 2 * k) * RATE_HZ] += hiss[n] * 10 ** (-3 * over)
        }
      }
      return take
    }
    const noise = addWhiteNoise(new Float64Array(SECONDS * RATE_HZ), -60, 1)
    expect(checkOf(noise).evidence.reverberation).toBeNull()
    expect(checkOf(ringing(1)).evidence.reverberation).toBeNull()
    expect(checkOf(ringing(9)).evidence.reverberation?.earlyDecayS).toBeCloseTo(1, 0)
  })
})
