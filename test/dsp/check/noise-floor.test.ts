import { expect, it } from 'vitest'
import { addWhiteNoise, checkOf, SINGERS, songTake } from '../../signals/checking.ts'
import { muteHalfOfThePauses } from '../../signals/planted-faults.ts'

const NO_ROOM = { reflections: [], noiseFloorDbfs: -200 }

it.each([
  [false, 'every pause as it is'],
  [true, 'half of the silent fifths of a second muted'],
])('finds planted floors from -70 to -45 dBFS within 1 dB, muted: %s (%s)', (isMuted) => {
  for (const singer of SINGERS) {
    const { samples, truth } = songTake(singer, 3, { room: NO_ROOM })
    const errors: string[] = []
    for (const levelDbfs of [-70, -65, -60, -55, -50, -45]) {
      const take = addWhiteNoise(Float64Array.from(samples), levelDbfs, 5)
      if (isMuted) muteHalfOfThePauses(take, truth)
      const { floorDbfs } = checkOf(take).evidence
      errors.push((floorDbfs! - levelDbfs).toFixed(2))
      expect(Math.abs(floorDbfs! - levelDbfs)).toBeLessThanOrEqual(1)
    }
    console.log(`  ${singer.name}: errors ${errors.join(', ')} dB`)
  }
})

it('finds a floor that is near the voice, and none that is 40 dB under it', () => {
  const { samples } = songTake(SINGERS[0], 3, { room: NO_ROOM })
  const kinds = (levelDbfs: number) =>
    checkOf(addWhiteNoise(Float64Array.from(samples), levelDbfs, 5)).findings.map(({ kind }) => kind)
  expect(kinds(-45)).toContain('noise-floor')
  expect(kinds(-62)).not.toContain('noise-floor')
})
