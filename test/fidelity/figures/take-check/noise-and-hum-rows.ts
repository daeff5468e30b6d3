// Noise floor and hum: floors and families of the mains planted
// under songs.

import { addWhiteNoise, checkOf, SINGERS, songTake } from '../../../signals/checking.ts'
import { muteHalfOfThePauses, withHum } from '../../../signals/planted-faults.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

const NO_ROOM = { room: { reflections: [], noiseFloorDbfs: -120 } }

function floorErrors(isMuted: boolean): Reading[] {
  return SINGERS.flatMap((singer, i) => {
    const { samples, truth } = songTake(singer, 3 + i, NO_ROOM)
    return [-70, -60, -50, -45].map((levelDbfs) => {
      const take = addWhiteNoise(Float64Array.from(samples), levelDbfs, 5)
      if (isMuted) muteHalfOfThePauses(take, truth)
      const { floorDbfs } = checkOf(take).evidence
      return { where: `${singer.name}, ${levelDbfs} dBFS`, value: (floorDbfs ?? Number.NaN) - levelDbfs }
    })
  })
}

/** Share of planted families that were not found, and how far the found ones are off. */
function humReadings(): { missed: Reading; off: Reading[]; withoutHum: Reading[] } {
  let missed = 0
  let planted = 0
  const off: Reading[] = []
  const withoutHum: Reading[] = []
  for (const singer of SINGERS) {
    const { samples } = songTake(singer, 3)
    withoutHum.push({
      where: singer.name,
      value: checkOf(Float64Array.from(samples)).evidence.hum === null ? 0 : 1,
    })
    for (const fundamentalHz of [49.9, 50.1, 60]) {
      planted++
      const family = checkOf(withHum(samples, fundamentalHz, -55)).evidence.hum
      if (family === null) missed++
      else
        off.push({
          where: `${singer.name}, ${fundamentalHz} Hz`,
          value: 100 * (family.fundamentalHz / fundamentalHz - 1),
        })
    }
  }
  return { missed: { where: `${missed} of ${planted}`, value: (100 * missed) / planted }, off, withoutHum }
}

export function noiseAndHumRows(): Row[] {
  const hum = humReadings()
  const floorLimit = limitOf({ low: -1, high: 1 }, 'dB', 2, 'Takeloft’s own target')
  const humTarget = 'Takeloft’s own target'
  return [
    rowOf('T1', 'noise floor found less the planted one', floorLimit, floorErrors(false)),
    rowOf('T1', 'the same, half of the pauses muted', floorLimit, floorErrors(true)),
    rowOf(
      'T1',
      'planted hum families at -55 dBFS that were missed',
      limitOf({ high: 0 }, '%', 0, humTarget),
      [hum.missed],
    ),
    rowOf('T1', 'their fundamental, off by', limitOf({ low: -0.1, high: 0.1 }, '%', 3, humTarget), hum.off),
    rowOf(
      'T1',
      'hum found in takes without any',
      limitOf({ high: 0 }, 'families', 0, humTarget),
      hum.withoutHum,
    ),
  ]
}
