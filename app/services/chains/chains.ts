// Chains: their versions, and what their settings give.

import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { bandsResponseDb, lowCutResponseDb } from '../../dsp/filters/response.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { micCurveOf } from '../sessions/plan-session.ts'
import { readableTake } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { type ResolvedStage, resolveStages } from './resolve-stages.ts'

/** Range of the drive's output setting, in both directions (chain-document.ts). */
const MAX_OUTPUT_DB = 24

type ChainActs =
  | 'listChains'
  | 'listChainVersions'
  | 'listSessionChains'
  | 'saveChain'
  | 'matchDrive'
  | 'chainResponse'

export function chainHandlers(workplace: Workplace): Pick<Handlers, ChainActs> {
  const { catalogue, pool, fitter, now, emit } = workplace
  const refuseNewer = (chainId: number, newestId: number): void => {
    const [newest] = catalogue.chains.versions(chainId)
    if (newest === undefined || newest.id === newestId) return
    throw new Failure(
      'conflict',
      `Another window has saved version ${newest.number} of ${newest.chainName} meanwhile; look at what differs, then save again.`,
      { chainId, newest: newest.number },
    )
  }
  return {
    listChains: async ({ voiceId }) => catalogue.chains.list(voiceId),
    listChainVersions: async ({ chainId }) => catalogue.chains.versions(chainId),

    listSessionChains: async () => catalogue.chains.listUsed(),

    async saveChain({ voiceId, chainId, newestId, editedId, mergedId, name, stages, note }) {
      const version = catalogue.transaction(() => {
        if (chainId !== null && newestId !== undefined) refuseNewer(chainId, newestId)
        const chain = chainId ?? catalogue.chains.insert({ voiceId, name }, now()).id
        return catalogue.chains.insertVersion(
          {
            ...{ chainId: chain, stages, sha256: hashOfValue(stages), note },
            parentIds:
              chainId === null || editedId === undefined
                ? undefined
                : [...new Set([editedId, mergedId ?? editedId])],
          },
          now(),
        )
      })
      emit('catalogueChanged', { subjects: ['chains', 'ledger'] })
      return version
    },

    async matchDrive({ takeId, stages, stageIndex }, { signal, report }) {
      const stage = stages[stageIndex]
      if (stage?.kind !== 'drive') {
        throw new Failure(
          'invalid-input',
          `Stage ${stageIndex + 1} of the chain is not a drive; choose one that is.`,
        )
      }
      const take = catalogue.takes.get(takeId)
      const path = await readableTake(workplace, take, signal)
      const before = resolveStages(
        stages.slice(0, stageIndex),
        micCurveOf(catalogue, take),
        take.sampleRateHz,
        fitter,
      )
      const outputDb = await pool.run(
        'matchDrive',
        {
          path,
          sampleRateHz: take.sampleRateHz,
          before: before.flatMap(({ setup }) => (setup === null ? [] : [setup])),
          drive: stage.settings,
        },
        { signal, onProgress: (fraction) => report(fraction, 'Matching the loudness') },
      )
      if (outputDb === null) {
        throw new Failure(
          'not-enough-material',
          `${take.name} has nothing to match the drive by: it is silent at this stage, or the mix is 0 %; choose another take, or raise the mix.`,
        )
      }
      return {
        outputDb: Math.round(Math.min(Math.max(outputDb, -MAX_OUTPUT_DB), MAX_OUTPUT_DB) * 100) / 100,
      }
    },

    async chainResponse({ takeId, stages, sampleRateHz, frequenciesHz }) {
      const micCurve = takeId === null ? null : micCurveOf(catalogue, catalogue.takes.get(takeId))
      const resolved = resolveStages(stages, micCurve, sampleRateHz, fitter)
      return {
        stages: resolved.map((one) => responseOf(one, frequenciesHz, sampleRateHz)),
        fit: resolved.find(({ fit }) => fit !== null)?.fit ?? null,
      }
    },
  }
}

/** Response of one stage in dB; null for stages that are off, have nothing to do, or depend on the level. */
function responseOf(
  { setup }: ResolvedStage,
  frequenciesHz: readonly number[],
  sampleRateHz: number,
): number[] | null {
  switch (setup?.kind) {
    case 'low-cut':
      return [...lowCutResponseDb(setup.settings, frequenciesHz, sampleRateHz)]
    case 'tone':
    case 'mic-correction':
      return [...bandsResponseDb(setup.settings.bands, frequenciesHz, sampleRateHz)]
    case 'trim':
      return frequenciesHz.map(() => setup.settings.gainDb)
    default:
      return null
  }
}
