// Runs one kind of mutant after another, so many of a kind, and names the one that broke something.
// More of them: MUTANTS=100000 npx vitest run test/fuzz; others: SEED=2.

import { expect } from 'vitest'
import { Failure } from '../../app/contract/failure.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'
import { type Draw, drawFrom } from './mutate.ts'

const MANY = Number(process.env.MUTANTS ?? 2000)
const SEED = Number(process.env.SEED ?? 1)

/**
 * @param tryOne makes a mutant and tries it; whatever it throws besides a Failure breaks the test
 * @returns how many were taken and how many were refused, by code
 */
export async function tryMutants(
  tryOne: (draw: Draw) => unknown,
  share = 1,
): Promise<Readonly<Record<string, number>>> {
  const outcomes: Record<string, number> = {}
  for (let n = 0; n < MANY * share; n++) {
    let outcome = 'taken'
    try {
      await tryOne(drawFrom(createRandom(SEED * 1_000_003 + n)))
    } catch (error) {
      if (!(error instanceof Failure)) {
        throw new Error(`mutant ${n} of seed ${SEED} gives an error of ours`, { cause: error })
      }
      expect(error.message.length, error.message.slice(0, 200)).toBeLessThan(1500)
      expect(error.message).toMatch(/\.$/)
      outcome = error.code
    }
    outcomes[outcome] = (outcomes[outcome] ?? 0) + 1
  }
  return outcomes
}
