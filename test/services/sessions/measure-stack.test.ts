// The measured stack against ffmpeg's ebur128 on the sum of the stems that were bounced of it.

import { execFileSync } from 'node:child_process'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { createWaveWriter } from '../../../app/audio/wave/wave-writer.ts'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { ffmpeg } from '../../audio/outside-tools.ts'
import { hasTool } from '../../require-tool.ts'
import { RATE_HZ, SINGERS, songTake } from '../../signals/checking.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

it.skipIf(!hasTool('ffmpeg'))('is as loud, and peaks, as the sum of its stems', async () => {
  const shop = openWorkshop()
  const { handlers, folder, workplace } = shop
  const session = await shop.createSession()
  const [one, two] = SINGERS.map((singer, i) =>
    writeTake(join(folder, `take ${i}.wav`), [
      Float64Array.from(songTake(singer, i + 1).samples, (x) => 0.5 * x),
    ]),
  )
  const takes = await shop.takeIn(session, one, two)
  await shop.place(session, takes[0])
  await shop.place(session, takes[1], 'Doubles', { pan: -0.7, gainDb: -4, role: 'double' })
  const voice = await handlers.createVoice({ artistId: session.artistId, name: 'rap', note: '' }, context)
  const { 'low-cut': lowCut, opto, ceiling } = defaultStages
  const version = await handlers.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Chain', stages: [lowCut, opto, ceiling], note: '' },
    context,
  )
  for (const { id } of workplace.catalogue.groups.listOfSession(session.id)) {
    await handlers.updateGroup({ id, changes: { chainVersionId: version.id } }, context)
  }

  const fractions: number[] = []
  const measured = await handlers.measureStack(
    { sessionId: session.id },
    { ...context, report: (fraction) => void fractions.push(fraction) },
  )
  expect(fractions.at(-1)).toBe(1)

  const { stems } = await handlers.bounceSession(
    { sessionId: session.id, folder: join(folder, 'stems'), encoding: 'float-32', layerStems: false },
    context,
  )
  const sum = join(folder, 'sum.wav')
  ffmpeg(
    ...stems.flatMap(({ path }) => ['-i', path]),
    ...['-filter_complex', `amix=inputs=${stems.length}:normalize=0`, '-c:a', 'pcm_f32le', sum],
  )
  const said = execFileSync(
    'sh',
    ['-c', `ffmpeg -hide_banner -i "${sum}" -af ebur128=peak=true -f null - 2>&1 | tail -20`],
    { encoding: 'utf8' },
  )
  const read = (name: RegExp): number => Number(name.exec(said)?.[1])
  expect(Math.abs(measured.integratedLufs! - read(/I:\s+(-?[\d.]+) LUFS/))).toBeLessThanOrEqual(0.1)
  expect(Math.abs(measured.truePeakDbtp! - read(/Peak:\s+(-?[\d.]+) dBFS/))).toBeLessThanOrEqual(0.2)
  // Lead in the middle, another voice to the left: nothing cancels.
  expect(measured.mono.lossDb!).toBeLessThan(0)
  expect(measured.mono.lossDb!).toBeGreaterThan(-3)
})

it('finds a copy whose polarity was turned and that stands opposite', async () => {
  const shop = openWorkshop()
  const { handlers, folder } = shop
  const session = await shop.createSession()
  const side = Float64Array.from(songTake(SINGERS[0], 1).samples.subarray(0, 6 * RATE_HZ))
  const path = join(folder, 'opposite.wav')
  const writer = createWaveWriter(path, {
    sampleRateHz: RATE_HZ,
    channels: 2,
    encoding: 'pcm-24',
    ditherSeed: null,
  })
  writer.write([side, side.map((x) => -x)], side.length)
  writer.finish()
  const [take] = await shop.takeIn(session, path)
  await shop.place(session, take)
  const { mono } = await handlers.measureStack({ sessionId: session.id }, context)
  expect(mono.lossDb!).toBeLessThan(-100)
  expect(mono.opposedPercent).toBe(100)
})

it('says that there is nothing to measure, and stops when it is cancelled', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  await expect(shop.handlers.measureStack({ sessionId: session.id }, context)).rejects.toMatchObject({
    code: 'empty',
  })
  const [take] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'take.wav'), [Float64Array.from(songTake(SINGERS[0], 1).samples)]),
  )
  await shop.place(session, take)
  const abort = new AbortController()
  abort.abort()
  await expect(
    shop.handlers.measureStack({ sessionId: session.id }, { ...context, signal: abort.signal }),
  ).rejects.toMatchObject({ code: 'cancelled' })
})
