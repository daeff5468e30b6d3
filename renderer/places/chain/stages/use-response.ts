// Frequency responses of linear stages, from the coefficients that process the sound.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import type { ChainStages } from '../../../../app/contract/chain-document.ts'
import { client } from '../../../state/connection.ts'

const FROM_HZ = 20
const TO_HZ = 20_000
const POINTS = 320

/** Evenly spaced on a logarithmic axis. */
export const RESPONSE_FREQUENCIES_HZ: readonly number[] = Array.from(
  { length: POINTS },
  (_, i) => FROM_HZ * (TO_HZ / FROM_HZ) ** (i / (POINTS - 1)),
)

/**
 * One curve for each stage, in dB at RESPONSE_FREQUENCIES_HZ below half the sample rate. The previous
 * response remains until the next arrives.
 * @param takeId the take whose mic is corrected; null for none
 */
export const useResponse = (takeId: number | null, stages: ChainStages, sampleRateHz: number) =>
  useQuery({
    queryKey: ['response', takeId, stages, sampleRateHz],
    queryFn: () =>
      client.chainResponse({
        takeId,
        stages,
        sampleRateHz,
        frequenciesHz: RESPONSE_FREQUENCIES_HZ.filter((frequencyHz) => frequencyHz < sampleRateHz / 2),
      }),
    placeholderData: keepPreviousData,
    gcTime: 10_000,
    meta: { subjects: ['mics', 'takes'] },
  })
