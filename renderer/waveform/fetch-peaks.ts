// Loads the stored peaks of a take from the host.

import { Failure } from '../../app/contract/failure.ts'
import { FailureData } from '../../app/contract/wire/failure-data.ts'
import { peaksRoute } from '../../app/contract/wire/sound-routes.ts'
import { fetchFromHost } from '../state/host-fetch.ts'
import { decodePeaks, type Peaks } from './peaks.ts'

/** Loads the peaks of a take. @throws Failure as reported by the host */
export async function fetchPeaks(takeId: number, signal: AbortSignal): Promise<Peaks> {
  const answer = await fetchFromHost(peaksRoute(takeId), { signal })
  if (!answer.ok) {
    const failure = FailureData.safeParse(await answer.json().catch(() => null))
    throw failure.success
      ? Failure.fromData(failure.data)
      : new Failure(
          'not-found',
          `Could not read the peaks of this take (${answer.status}). Import the take again.`,
        )
  }
  const channels = Number(answer.headers.get('x-channels'))
  const framesPerPeak = Number(answer.headers.get('x-frames-per-peak'))
  return decodePeaks(await answer.arrayBuffer(), channels, framesPerPeak)
}
