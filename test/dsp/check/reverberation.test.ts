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

const SECONDS = 12
const short = (samples: ArrayLike<number>): Float64Array =>
  Float64Array.from(samples).subarray(0, SECONDS * RATE_HZ)

const findingOf = (samples: Float64Array) =>
  checkOf(samples).findings.find(({ kind }) => kind === 'reverberation')

function everyVoice(): Float64Array[] {
  const generated = SINGERS.flatMap((singer) => [
    songTake(singer, 3).samples,
    phrasedTake(singer, 2, true).samples,
  ])
  const spoken = haveMaterial(CLIPS, SYLLABLES)
    ? [announcements(), ...['en', 'de'].map((language) => syllables(language))]
    : []
  return [...generated, ...spoken].map(short)
}

describe('reverberation', () => {
  const voices = everyVoice()

  it('is not found in dry takes', () => {
    for (const [i, dry] of voices.entries()) expect(findingOf(dry), `voice ${i}`).toBeUndefined()
  })

  it.each([0.6, 1])('is found in rooms of %d s, within a fifth of their decay', (decaySeconds) => {
    const decays = voices.map((dry) => {
      const wet = addWhiteNoise(inRoom(dry, RATE_HZ, { decaySeconds }), -80, 4)
      return findingOf(wet)?.value ?? Number.NaN
    })
    console.log(`  ${decays.map((decay) => decay.toFixed(2)).join(' ')} s`)
    for (const [i, decay] of decays.entries()) {
      expect(Math.abs(decay / decaySeconds - 1), `voice ${i}`).toBeLessThan(0.2)
    }
  })

  it('is not found where the voice is well over its room, as close to the mic', () => {
    for (const [i, dry] of voices.entries()) {
      const close = addWhiteNoise(inRoom(dry, RATE_HZ, { decaySeconds: 0.3, directDb: 15 }), -80, 4)
      expect(findingOf(close), `voice ${i}`).toBeUndefined()
    }
  })

  it('says nothing of noise, and nothing of a single sound', () => {
    const noise = addWhiteNoise(new Float64Array(SECONDS * RATE_HZ), -60, 1)
    expect(checkOf(noise).evidence.reverberation).toBeNull()
    for (let n = 0; n < RATE_HZ; n++)
      noise[n + 3 * RATE_HZ] += 0.5 * Math.sin((2 * Math.PI * 440 * n) / RATE_HZ)
    expect(checkOf(noise).evidence.reverberation).toBeNull()
  })
})
