// Chains: their versions, and what they do to a take.

import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import { bandsResponseDb, lowCutResponseDb } from '../../dsp/filters/response.ts'
import { strandHop } from '../../dsp/meters/strands.ts'
import { type JointsPart, joinParts, type StageRange } from '../../engine/measuring/measure-joints.ts'
import { createPassedSound } from '../../engine/measuring/passed-sound.ts'
import { splitStages } from '../../engine/measuring/split-stages.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { PROGRAM } from '../program.ts'
import { runTogether } from '../run-together.ts'
import { micCurveOf } from '../sessions/plan-session.ts'
import { readableTake } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { createJointCache } from './joint-cache.ts'
import { type ResolvedStage, resolveStages } from './resolve-stages.ts'
import { hasRows, rowKeysOf } from './row-cache.ts'

/** Range of the drive's output setting, in both directions (chain-document.ts). */
const MAX_OUTPUT_DB = 24

type ChainActs =
  | 'listChains'
  | 'listChainVersions'
  | 'listSessionChains'
  | 'saveChain'
  | 'measureChain'
  | 'matchDrive'
  | 'chainResponse'

export function chainHandlers(workplace: Workplace): Pick<Handlers, ChainActs> {
  const { catalogue, pool, playback, fitter, songRows, keptSongs, now, emit } = workplace
  const joints = createJointCache()
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

    async measureChain({ takeId, stages }, { signal, report }) {
      const take = catalogue.takes.get(takeId)
      const path = await readableTake(workplace, take, signal)
      const resolved = resolveStages(stages, micCurveOf(catalogue, take), take.sampleRateHz, fitter)
      const toMeasure = resolved.map(({ stage, setup, remark }) => ({
        kind: stage.kind,
        on: stage.on,
        setup,
        remark,
      }))
      const rowFrames = strandHop(take.sampleRateHz)
      const keepsRows = hasRows(Math.ceil(take.frames / rowFrames), toMeasure.length + 1)
      const keys = rowKeysOf(take.sha256, take.sampleRateHz, toMeasure)
      const songKey = hashOfValue(['song of a chain', PROGRAM.version, keys, toMeasure])
      const earlier = !keepsRows || songRows.hasAll(keys) ? null : await keptSongs.read(songKey)
      if (earlier !== null) {
        for (const [joint, rows] of earlier.rows.entries()) songRows.keepPacked(keys[joint], rows)
        return earlier.song
      }
      const planned = joints.plan(take.sha256, toMeasure, 4 * take.channels * take.frames)
      const isUsable =
        planned.from === null || !keepsRows || songRows.hasAll(keys.slice(0, planned.from.beforeStage + 1))
      // Without the rows of the joints before it, a kept joint is of no use.
      const options = { ...planned, from: isUsable ? planned.from : null, keepsRows }
      // While something plays, the other processors are left to it: a moved knob must be heard at once.
      const threads = playback.isInUse() ? 1 : pool.threads
      const firstStage = options.from?.beforeStage ?? 0
      const split = splitStages(toMeasure, firstStage, threads, true)
      const passed =
        split.length === 1 ? null : createPassedSound(take.channels, take.frames, take.sampleRateHz)
      const ranges = passed === null ? splitStages(toMeasure, firstStage, threads, false) : split
      const fractions = ranges.map(() => 0)
      const measure = (range: StageRange, index: number, both: AbortSignal): Promise<JointsPart> =>
        pool.run(
          'measureChain',
          {
            path,
            sampleRateHz: take.sampleRateHz,
            stages: toMeasure,
            range,
            options,
            passed,
          },
          {
            signal: both,
            onProgress(fraction) {
              fractions[index] = fraction
              report(Math.min(...fractions), 'Measuring the joints')
            },
          },
        )
      // The first part comes first in the pool's queue too, so the second never waits for one that has no thread.
      const parts = await runTogether(signal, (both) =>
        Promise.all(ranges.map((range, index) => measure(range, index, both))),
      )
      const { measurement, kept, rows } = joinParts(parts, options)
      const firstJoint = options.from === null ? 0 : firstStage + 1
      for (const [index, one] of rows.entries())
        if (one !== null) songRows.keep(keys[firstJoint + index], one)
      if (kept !== null) joints.keep(take.sha256, toMeasure, kept)
      if (!keepsRows) return { ...measurement, rows: null }
      const layout = { sampleRateHz: take.sampleRateHz, frames: take.frames, rowFrames, keys }
      const song = { ...measurement, rows: layout }
      const packed = keys.map((key) => songRows.read(key))
      const all = packed.filter((one) => one !== null)
      if (all.length === keys.length) keptSongs.keepLater(take.sha256, songKey, { song, rows: all })
      return song
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
