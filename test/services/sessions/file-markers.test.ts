// Markers in the files of layers: at the place of the layer, at the rate of the session, and clean.

import { appendFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

/** A cue chunk with two points, the second with a label that cannot be seen; after the sound, where it is allowed. */
function mark(path: string): string {
  const cue = Buffer.alloc(8 + 4 + 48)
  cue.write('cue ', 0)
  cue.writeUInt32LE(52, 4)
  cue.writeUInt32LE(2, 8)
  for (const [i, frame] of [22_050, 44_100].entries()) {
    cue.writeUInt32LE(i + 1, 12 + 24 * i)
    cue.write('data', 20 + 24 * i)
    cue.writeUInt32LE(frame, 32 + 24 * i)
  }
  const labels = Buffer.concat([
    Buffer.from('LIST'),
    Buffer.from([36, 0, 0, 0]),
    Buffer.from('adtllabl'),
    Buffer.from([9, 0, 0, 0, 1, 0, 0, 0]),
    Buffer.from('Hook\0\0'),
    Buffer.from('labl'),
    Buffer.from([4, 0, 0, 0, 2, 0, 0, 0]),
  ])
  appendFileSync(path, Buffer.concat([cue, labels]))
  return path
}

it('lie where the layer has the file, converted to the rate of the session', async () => {
  const shop = openWorkshop()
  const { handlers, folder } = shop
  const session = await shop.createSession()
  const path = writeTake(join(folder, 'lead.wav'), [whiteNoise(88_200, 1, 0.2)], { sampleRateHz: 44_100 })
  const [take] = await shop.takeIn(session, mark(path))
  const list = () => handlers.listFileMarkers({ sessionId: session.id }, context)
  expect(await list()).toEqual([])
  await shop.place(session, take!, 'Lead', { offsetSamples: 1000 })
  await shop.place(session, take!, 'Doubles', { offsetSamples: 2000 })
  // Half a second and a second after the start of the layer.
  expect(await list()).toEqual([
    { name: 'Hook', startSamples: 25_000, lengthSamples: 0, note: '', takeName: 'lead' },
    { name: 'Marker 2', startSamples: 49_000, lengthSamples: 0, note: '', takeName: 'lead' },
  ])
})
