// Sentences for what the check of a stack finds, for the window and the command line.

import type { StackFinding, StackSuggestion } from '../contract/stack-check/stack-check.ts'

/** Name of a layer by its id. */
type NameOf = (layerId: number) => string

const db = (value: number, digits = 1): string => `${value.toFixed(digits)} dB`
const signedDb = (value: number): string => `${value > 0 ? '+' : value < 0 ? '−' : ''}${db(Math.abs(value))}`
const hertz = (hz: number): string =>
  hz < 1000 ? `${Math.round(hz)} Hz` : `${Number((hz / 1000).toFixed(2))} kHz`
const percent = (share: number): string => `${Math.round(100 * share)} %`
const ms = (value: number): string => `${Number(value.toFixed(1))} ms`

/** The depth of a comb, which is not measured beyond 60 dB. */
const depth = (value: number): string => (value >= 60 ? '60 dB or more' : db(value))

const namesOf = (ids: readonly number[], nameOf: NameOf): string => {
  const names = ids.map(nameOf)
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`
}

/** What was found, in one sentence. */
export function stackFindingWords(finding: StackFinding, nameOf: NameOf): string {
  const names = namesOf(finding.layerIds, nameOf)
  switch (finding.kind) {
    case 'harsh-build-up':
    case 'build-up': {
      const { hz, excessDb } = finding.evidence
      const what = finding.kind === 'harsh-build-up' ? 'Harsh build-up' : 'Build-up'
      return finding.suggestion === null
        ? `${what} of ${db(finding.value)} around ${hertz(hz)} through ${names}; no layer stands out.`
        : `${what} of ${db(finding.value)} around ${hertz(hz)} through ${names}, which has ${db(excessDb)} more there than elsewhere beside the lead.`
    }
    case 'combing': {
      const { delayMs, firstNotchHz, depthDb, monoDepthDb, isInverted } = finding.evidence
      const where = depthDb >= 3 ? '' : ' in mono'
      const turned = isInverted ? ' with opposite polarity' : ''
      return `${names} have the same sound ${ms(delayMs)} apart${turned}: a comb of ${depth(Math.max(depthDb, monoDepthDb))}${where} with its first notch at ${hertz(firstNotchHz)}.`
    }
    case 'same-sound':
      return finding.evidence.isInverted
        ? `${names} have the same sound with opposite polarity and cancel (${signedDb(finding.value)}).`
        : `${names} have the same sound at the same time, which only makes it louder (${signedDb(finding.value)}).`
    case 'mono-loss': {
      const { hz, fromHz, toHz, energyShare } = finding.evidence
      const range = fromHz === toHz ? hertz(hz) : `${hertz(fromHz)} to ${hertz(toHz)}`
      return `In mono ${range} ${fromHz === toHz ? 'loses' : 'lose'} up to ${db(-finding.value)} (${percent(energyShare)} of the stack’s energy), mostly of ${names}.`
    }
    case 'covered-lead':
      return `${names} ${finding.layerIds.length === 1 ? 'covers' : 'cover'} the lead: ${percent(finding.value)} of it is heard through the others.`
    case 'sibilants-together':
      return sibilantWords(finding, names, nameOf(finding.evidence.keptLayerId))
    case 'timing-spread': {
      const { medianMs, phrases } = finding.evidence
      const side = medianMs < 0 ? 'before' : 'behind'
      return `${names} is ${ms(Math.abs(medianMs))} ${side} the lead (median of ${phrases} phrases), with a spread of ${ms(finding.value)}.`
    }
  }
}

function sibilantWords(
  { value, places, evidence }: Extract<StackFinding, { kind: 'sibilants-together' }>,
  names: string,
  kept: string,
): string {
  const figures = `${signedDb(value)}, begun within ${ms(evidence.spreadMs)}`
  return places.length < 2
    ? `An s of ${names} strikes together with that of ${kept}: ${figures}.`
    : `The s of ${names} strikes together with that of ${kept} at ${places.length} places: up to ${figures}.`
}

/** What would answer it, as a request. */
export function stackSuggestionWords(suggestion: StackSuggestion, nameOf: NameOf): string {
  switch (suggestion.act) {
    case 'bell':
      return `Cut ${nameOf(suggestion.layerId)} by ${db(-suggestion.gainDb)} at ${hertz(suggestion.frequencyHz)}, Q ${suggestion.q} (the stack: ${signedDb(suggestion.predictedDb)}).`
    case 'gain':
      return `Lower ${nameOf(suggestion.layerId)} by ${db(-suggestion.gainDb)}.`
    case 'mute':
      return `Mute ${nameOf(suggestion.layerId)}.`
    case 'invert':
      return `Invert the polarity of ${nameOf(suggestion.layerId)}.`
    case 'shift':
      return shiftWords(suggestion, nameOf(suggestion.layerId))
    case 'hold':
      return `Hold the s of ${namesOf(suggestion.layerIds, nameOf)} by ${db(-suggestion.gainDb)} where they strike together.`
  }
}

function shiftWords({ shiftMs, spreadMs }: Extract<StackSuggestion, { act: 'shift' }>, name: string): string {
  const spread = spreadMs < LEAST_SPREAD_MS ? '' : ` (median of its phrases, which spread by ${ms(spreadMs)})`
  return `Move ${name} ${ms(Math.abs(shiftMs))} ${shiftMs < 0 ? 'earlier' : 'later'}${spread}.`
}

/** Less is not shown in the figure. */
const LEAST_SPREAD_MS = 0.05

/** What the finding was read from, beside what its sentence says; empty where that is all. */
export function stackEvidenceWords(finding: StackFinding, nameOf: NameOf): string {
  const [first] = finding.layerIds
  const name = first === undefined ? '' : nameOf(first)
  switch (finding.kind) {
    case 'harsh-build-up':
    case 'build-up': {
      const { buildUpDb, share, shareOverMedian, leaveOneOutDb } = finding.evidence
      return `The stack is ${db(buildUpDb)} over the lead there. ${name}: ${percent(share)} of it, ${percent(shareOverMedian)} more than in its other bands; without it ${signedDb(-leaveOneOutDb)}.`
    }
    case 'combing': {
      const { notchesHz, depthDb, monoDepthDb } = finding.evidence
      return `Notches at ${namesOf(
        notchesHz.slice(0, 3).map((_, i) => i),
        (i) => hertz(notchesHz[i]),
      )}, peaks over notches ${depth(depthDb)}, in mono ${depth(monoDepthDb)}.`
    }
    case 'same-sound':
      return `${name} is ${signedDb(finding.evidence.levelDb)} beside the other.`
    case 'covered-lead':
      return `Without ${name} ${percent(finding.evidence.withoutFirst)} is heard.`
    default:
      return ''
  }
}
