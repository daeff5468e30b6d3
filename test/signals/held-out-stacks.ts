// Stacks of recorded voices on which no threshold of the stack check was set: each layer has the same words of one
// speaker from another place on, so that all have one long-term spectrum and no moment in common.

import { beginningOf, HELD_OUT_VOICES } from '../fidelity/speech.ts'
import { scaled } from './speech-stack.ts'

const SECONDS = 15
/** The figures' phrases: a voice is cut to a whole number of them, so that all of every layer is measured. */
const PHRASE_FRAMES = 72_000
const RMS = 0.1
/** Under the lead, as doubles are. */
const LEVELS_DB = [-8, -10, -12, -9, -11, -8.5, -11.5]

const kept = new Map<string, Float64Array>()

/** What a speaker says, of one RMS level. */
function wordsOf(name: string): Float64Array {
  let words = kept.get(name)
  if (words === undefined) {
    const said = beginningOf(HELD_OUT_VOICES[name], SECONDS)
    const all = said.subarray(0, said.length - (said.length % PHRASE_FRAMES))
    const rms = Math.sqrt(all.reduce((sum, x) => sum + x * x, 0) / all.length)
    words = all.map((x) => (RMS * x) / rms)
    kept.set(name, words)
  }
  return words
}

/** @param count layers; the first leads, and the others are 8 to 12 dB under it */
export function heldOutLayers(name: string, count: number): Float64Array[] {
  const words = wordsOf(name)
  return Array.from({ length: count }, (_, k) => {
    const from = Math.floor((k * words.length) / count)
    const layer = new Float64Array(words.length)
    layer.set(words.subarray(from))
    layer.set(words.subarray(0, from), words.length - from)
    return k === 0 ? layer : scaled(layer, LEVELS_DB[(k - 1) % LEVELS_DB.length])
  })
}
