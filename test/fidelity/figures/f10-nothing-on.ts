// F10: with every stage off, a bounce is the take, bit for bit.

import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { quantised } from '../../signals/tones.ts'
import { type BounceShop, dataBytesOf, withBounceShop } from '../bounce-shop.ts'
import { LIMITS } from '../limits.ts'
import { differingSamples, type Figure, type Reading, type Row, rowOf } from '../rows.ts'

const ALL_OFF: ChainStages = Object.values(defaultStages).map((stage) => ({ ...stage, on: false }))
const RATES_HZ = [44_100, 48_000, 88_200, 96_000] as const

async function rowsOf(shop: BounceShop): Promise<Row[]> {
  const samples: Reading[] = []
  const bytes: Reading[] = []
  for (const sampleRateHz of RATES_HZ) {
    for (const sharing of ['own', 'shared'] as const) {
      const line = hissedLine(3, sampleRateHz, 6, { vowelPeak: 0.9 }).samples
      const noise = whiteNoise(30_000, 7, 1)
      const float = Float64Array.from(new Float32Array(whiteNoise(20_000, 8, 1.4)))
      const sounds = [
        { name: 'Line 24', channels: [quantised(line, 24)], encoding: 'pcm-24' as const },
        { name: 'Noise 16', channels: [quantised(noise, 16)], encoding: 'pcm-16' as const },
        {
          name: 'Stereo 24',
          channels: [quantised(line, 24), quantised(line.toReversed(), 24)],
          encoding: 'pcm-24' as const,
        },
        { name: 'Float', channels: [float], encoding: 'float-32' as const },
      ]
      const where = `${sampleRateHz / 1000} kHz, ${sharing} chain`
      for (const encoding of ['pcm-24', 'float-32'] as const) {
        const wanted = sounds.filter((sound) => (sound.encoding === 'float-32') === (encoding === 'float-32'))
        const bounced = await shop.bounce({
          sounds: wanted,
          stages: ALL_OFF,
          sharing,
          sampleRateHz,
          encoding,
          layerStems: true,
        })
        const layers = bounced.stems.filter(({ stem }) => stem.kind === 'layer')
        for (const [k, sound] of wanted.entries()) {
          const layer = layers.find(({ name }) => name.endsWith(sound.name))
          const differing = sound.channels.map((channel, c) =>
            differingSamples(layer?.channels[c].subarray(0, channel.length) ?? [], channel),
          )
          samples.push({
            where: `${sound.name}, ${where}`,
            value: differing.reduce((sum, one) => sum + one, 0),
          })
          if (layer === undefined || sound.encoding === 'pcm-16') continue
          const take = dataBytesOf(bounced.takePaths[k])
          const same = take.equals(dataBytesOf(layer.path).subarray(0, take.length))
          bytes.push({ where: `${sound.name}, ${where}`, value: same ? 0 : 1 })
        }
      }
    }
  }
  return [
    rowOf(
      'F10',
      'all stages off: samples of a stem that are not the take’s',
      LIMITS.differingSamples,
      samples,
    ),
    rowOf(
      'F10',
      'same format: files whose sound is not byte for byte the take’s',
      { ...LIMITS.differingSamples, unit: 'files' },
      bytes,
    ),
  ]
}

export async function measureNothingOn(): Promise<Figure> {
  return { id: 'F10', title: 'Nothing on', rows: await withBounceShop(rowsOf), plots: [] }
}
