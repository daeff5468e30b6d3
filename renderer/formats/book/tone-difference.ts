// The response of a chain's linear stages as one curve, and what of the chain is not in it.

import type { ChainStages } from '../../../app/contract/chain-document.ts'
import { STAGE_NAMES } from '../../../app/words/chain/stage-words.ts'

/** Sum of the stages in dB; those without a response add nothing. */
const sumOf = (stages: readonly (readonly number[] | null)[], at: number): number =>
  stages.reduce((sum, response) => sum + (response?.[at] ?? 0), 0)

/** Second minus first in dB, at each of `count` frequencies. */
export const differenceOf = (
  first: readonly (readonly number[] | null)[],
  second: readonly (readonly number[] | null)[],
  count: number,
): number[] => Array.from({ length: count }, (_, i) => sumOf(second, i) - sumOf(first, i))

/** The kinds of stages that have a response. */
const LINEAR = ['trim', 'mic-correction', 'low-cut', 'tone']

/** Names of the stages of both that depend on the level and are on. */
export function levelDependent(first: ChainStages, second: ChainStages): string[] {
  const kinds = [...first, ...second].filter(({ kind, on }) => on && !LINEAR.includes(kind))
  return [...new Set(kinds.map(({ kind }) => STAGE_NAMES[kind]))]
}
