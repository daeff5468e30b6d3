// The voice analysis of a take, and its comparison with the voice's earlier takes.

import { ChainStage } from '../../contract/chain-document.ts'
import type { Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { VoiceAnalysed, VoiceAnalysis } from '../../contract/voice-analysis.ts'
import type { CallContext, Handlers } from '../../contract/wire/commands.ts'
import { onAnotherMic } from '../../dsp/analysis/on-another-mic.ts'
import { compareWithHistory, type SoundcheckTake } from '../../dsp/analysis/soundcheck.ts'
import { startingSettings } from '../../dsp/analysis/starting/starting-settings.ts'
import { usualBalancesOf } from '../../dsp/analysis/usual-balances.ts'
import type { Curve } from '../../dsp/correction/curve.ts'
import { micCurveOf } from '../sessions/plan-session.ts'
import { catalogueRoot, takeFilePath } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { notEnoughVoice } from './not-enough-voice.ts'

/** Only the latest takes are compared, because a voice and its booth change over the years. */
const MAX_EARLIER_TAKES = 24

const MIC_IN_COMPARISON =
  'Not every take here has a mic with a curve, so the comparison includes the differences between the mics; set the mics in Intake and import their curves in Mics.'

export function voiceHandlers(workplace: Workplace): Pick<Handlers, 'analyseVoice' | 'runSoundcheck'> {
  const { catalogue } = workplace
  return {
    async analyseVoice({ takeId }, context) {
      const take = catalogue.takes.get(takeId)
      const analysis = await enoughVoiceOf(workplace, take, context)
      const { earlier, leftOut } = await historyOf(workplace, take, context)
      const { history, remarks } = asOnThisMic(take, micCurveOf(catalogue, take), earlier)
      const proposals = startingSettings(analysis, history).map(({ stage, evidence, confidence }) => ({
        stage: ChainStage.parse({ ...stage, on: true }),
        evidence,
        confidence,
      }))
      return {
        analysis,
        usualBalances: usualBalancesOf(history),
        proposals,
        remarks: [...remarks, ...leftOut],
      }
    },

    async runSoundcheck({ takeId }, context) {
      const take = catalogue.takes.get(takeId)
      if (take.voiceId === null) {
        throw new Failure(
          'invalid-input',
          `The take ${take.name} belongs to no voice, so there is nothing to compare it with; set its voice in Intake.`,
          { takeId },
        )
      }
      const analysis = await enoughVoiceOf(workplace, take, context)
      const { earlier, leftOut } = await historyOf(workplace, take, context)
      const isOneMic = take.micId !== null && earlier.every(({ micId }) => micId === take.micId)
      const result = compareWithHistory({ analysis, micCurve: micCurveOf(catalogue, take) }, earlier)
      if (result.outcome !== 'compared') return { ...result, remarks: leftOut }
      const remarks = result.isMicTakenOut || isOneMic ? [] : [MIC_IN_COMPARISON]
      return { ...result, remarks: [...remarks, ...leftOut] }
    },
  }
}

/** The history as if recorded with this take's mic; analyses without a known mic or curve are unchanged. */
function asOnThisMic(
  take: Take,
  curve: Curve | null,
  earlier: readonly EarlierTake[],
): { readonly history: readonly VoiceAnalysed[]; readonly remarks: string[] } {
  const others = earlier.filter(({ micId }) => micId === null || micId !== take.micId)
  const isKnown = curve !== null && others.every(({ micCurve }) => micCurve !== null)
  return {
    history: earlier.map(({ analysis, micCurve }) =>
      curve === null || micCurve === null ? analysis : onAnotherMic(analysis, micCurve, curve),
    ),
    remarks:
      others.length === 0
        ? []
        : [
            isKnown
              ? 'Earlier takes on another mic are compared as if recorded with this mic, using both curves.'
              : MIC_IN_COMPARISON,
          ],
  }
}

interface EarlierTake extends SoundcheckTake {
  readonly micId: number | null
}

interface History {
  readonly earlier: readonly EarlierTake[]
  /** A remark that names the takes whose files cannot be read; empty where there are none. */
  readonly leftOut: readonly string[]
}

/** Takes of the same voice from earlier sessions that contain enough voice and can be read. */
async function historyOf(workplace: Workplace, take: Take, context: CallContext): Promise<History> {
  const { catalogue } = workplace
  if (take.voiceId === null) return { earlier: [], leftOut: [] }
  const earlier: EarlierTake[] = []
  const unreadable: string[] = []
  const takes = catalogue.takes.listHistory(take.voiceId, take.id, MAX_EARLIER_TAKES)
  for (const [i, before] of takes.entries()) {
    const analysis = await voiceOf(workplace, before, {
      signal: context.signal,
      report: (fraction, doing) => context.report((i + fraction) / takes.length, doing),
    }).catch((error: unknown) => {
      // An unreadable earlier take must not stop the analysis of this one.
      if (!(error instanceof Failure) || error.code === 'cancelled') throw error
      unreadable.push(before.name)
      return null
    })
    if (analysis?.outcome !== 'analysed') continue
    earlier.push({ analysis, micCurve: micCurveOf(catalogue, before), micId: before.micId })
  }
  const leftOut =
    unreadable.length === 0
      ? []
      : [
          `Earlier takes whose files cannot be read are left out: ${unreadable.join(', ')}. Put the files back to compare with them.`,
        ]
  return { earlier, leftOut }
}

async function enoughVoiceOf(workplace: Workplace, take: Take, context: CallContext): Promise<VoiceAnalysed> {
  const analysis = await voiceOf(workplace, take, context)
  if (analysis.outcome === 'analysed') return analysis
  throw notEnoughVoice(take, analysis)
}

/** The stored analysis, or a new one for a take imported before takes were analysed. */
async function voiceOf(
  { catalogue, pool, folders, verifiedFiles }: Workplace,
  take: Take,
  { signal, report }: CallContext,
): Promise<VoiceAnalysis> {
  if (take.facts.voice !== undefined) return take.facts.voice
  const path = await takeFilePath(verifiedFiles, catalogueRoot(catalogue.path), take)
  const { facts, sha256 } = await pool.run(
    'measureTake',
    { path, workingFolder: folders.working, peaksFolder: null },
    { signal, onProgress: (fraction) => report(fraction, `Listening to ${take.name}`) },
  )
  if (sha256 !== take.sha256) {
    throw new Failure(
      'changed',
      `The file of the take ${take.name} at ${path} has changed since it was imported; put the original back, or import this file as a new take.`,
      { take: take.name, path },
    )
  }
  if (facts.voice === undefined) throw new Error('a take was measured without its voice')
  return facts.voice
}
