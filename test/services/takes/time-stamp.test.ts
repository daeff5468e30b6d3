// The time stamp of a recording is stored at import, as ffmpeg writes it (EBU Tech 3285: samples since midnight).

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { ffmpeg } from '../../audio/outside-tools.ts'
import { rawOn } from '../../db/raw-connection.ts'
import { hasTool } from '../../require-tool.ts'
import { context, openWorkshop } from '../workshop.ts'

/** 1 h and 17 bars of 4/4 at 90 BPM (17 × 4 × 60/90 s) at 44.1 kHz. */
const STAMP = Math.round((3600 + (17 * 4 * 60) / 90) * 44_100)

const stampedAt = (path: string, samples: number): string => {
  ffmpeg(
    ...['-f', 'lavfi', '-i', 'sine=300:sample_rate=44100:duration=1'],
    ...['-metadata', `time_reference=${samples}`, '-write_bext', '1', path],
  )
  return path
}

it.skipIf(!hasTool('ffmpeg'))('of a file of ffmpeg is stored with the take', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [stamped] = await shop.takeIn(session, stampedAt(join(shop.folder, 'stamped.wav'), STAMP))
  expect(stamped.timeReferenceSamples).toBe(STAMP)
  expect(shop.workplace.catalogue.takes.listOfSession(session.id)[0].timeReferenceSamples).toBe(STAMP)
})

it.skipIf(!hasTool('ffmpeg'))(
  'of a take of an earlier version is stored when it is imported again',
  async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const path = stampedAt(join(shop.folder, 'stamped.wav'), STAMP)
    const [take] = await shop.takeIn(session, path)
    const db = rawOn(shop.workplace.catalogue.path)
    db.exec('UPDATE takes SET time_reference_samples = NULL, size_bytes = NULL')
    expect(shop.workplace.catalogue.takes.get(take.id).timeReferenceSamples).toBeNull()
    expect((await shop.takeIn(session, path))[0]).toEqual(take)
  },
)

it.skipIf(!hasTool('ffmpeg'))('of 24 h or more is not used, which the import says', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  // 24 h at 44.1 kHz are 3 810 240 000 samples.
  const paths = [86_400 * 44_100 - 1, 86_400 * 44_100, 360_000_000 * 44_100].map((samples, n) =>
    stampedAt(join(shop.folder, `${n}.wav`), samples),
  )
  const { takes, remarks } = await shop.handlers.importTakes(
    {
      ...{ sessionId: session.id, files: paths.map((path) => ({ path })) },
      ...{ voiceId: null, micId: null, curveId: null },
    },
    context,
  )
  expect(takes.map(({ timeReferenceSamples }) => timeReferenceSamples)).toEqual([3_810_239_999, null, null])
  const said = remarks.filter((remark) => remark.includes('time stamp'))
  expect(said).toEqual([
    expect.stringMatching(/^1\.wav has a time stamp of 24\.0 h, .*the session’s start; move its layer/),
    expect.stringMatching(/^2\.wav has a time stamp of 100000\.0 h/),
  ])
})
