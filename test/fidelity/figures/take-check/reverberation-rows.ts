// Reverberation: dry voices, generated and recorded, in rooms whose decay was chosen.

import { addWhiteNoise, checkOf, phrasedTake, RATE_HZ, SINGERS } from '../../../signals/checking.ts'
import { inRoom } from '../../../signals/rooms.ts'
import { limitOf, missingRow, type Reading, type Row, rowOf } from '../../rows.ts'
import { haveSpeech, SPEECH_MISSING, speech } from '../../speech.ts'

const SECONDS = 20
const ROOMS_SECONDS = [0.5, 0.8, 1.2]
const DRY = 'dry takes named as reverberant'
const NAMED = 'takes in rooms of 0.5 to 1.2 s named as reverberant'
const OFF = 'their early decay, off by'
const LIMITS = {
  dry: limitOf({ high: 0 }, 'takes', 0, 'ours: an alarm that is not true costs trust'),
  named: limitOf({ low: 100 }, '%', 0, 'ours'),
  off: limitOf(
    { low: -0.2, high: 0.2 },
    's',
    2,
    'ours; better methods of the ACE challenge scatter by about that (Eaton et al. 2016, from memory)',
  ),
}

export function reverberationRows(): Row[] {
  if (!haveSpeech) {
    return [
      missingRow('T1', DRY, LIMITS.dry, SPEECH_MISSING),
      missingRow('T1', NAMED, LIMITS.named, SPEECH_MISSING),
      missingRow('T1', OFF, LIMITS.off, SPEECH_MISSING),
    ]
  }
  const voices = [
    ...SINGERS.map((singer) => ({
      name: singer.name,
      dry: Float64Array.from(phrasedTake(singer, 3, true).samples.subarray(0, SECONDS * RATE_HZ)),
    })),
    { name: 'alsa-utils', dry: speech() },
  ]
  const alarms = voices.map(({ name, dry }) => ({
    where: name,
    value: checkOf(dry).findings.filter(({ kind }) => kind === 'reverberation').length,
  }))
  let named = 0
  const off: Reading[] = []
  for (const { name, dry } of voices) {
    for (const decaySeconds of ROOMS_SECONDS) {
      const wet = addWhiteNoise(inRoom(dry, RATE_HZ, { decaySeconds }), -75, 4)
      const { evidence, findings } = checkOf(wet)
      if (findings.some(({ kind }) => kind === 'reverberation')) named++
      const decay = evidence.reverberation?.earlyDecayS ?? Number.NaN
      off.push({ where: `${name}, ${decaySeconds} s`, value: decay - decaySeconds })
    }
  }
  return [
    rowOf('T1', DRY, LIMITS.dry, alarms),
    rowOf('T1', NAMED, LIMITS.named, [
      { where: `${named} of ${off.length}`, value: (100 * named) / off.length },
    ]),
    rowOf('T1', OFF, LIMITS.off, off),
  ]
}
