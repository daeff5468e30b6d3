import { describe, expect, it } from 'vitest'
import { createWorkRows, kernels, viewOf } from '../../../app/dsp/wasm/kernels.ts'

const rows = createWorkRows()
const sound = rows.row(8)
const excess = rows.row(8)

/** Gain of the curve less 1 at four inputs, as the kernel gives it. */
function excessAt(inputs: readonly number[], tanhBias: number): number[] {
  viewOf(sound, 4).set(inputs)
  kernels.writeExcess(sound, excess, 4, 1, tanhBias)
  return [...viewOf(excess, 4)]
}

describe('the curve of the drive without exp', () => {
  // Math.tanh and the definition of the curve: (tanh(u + b) - tanh b) / (1 - tanh^2 b), over u.
  it.each([0, 0.1, -0.3, 0.5])('bias %d: gain within 4e-15 of the definition by Math.tanh', (bias) => {
    let worst = 0
    for (let u = -30; u < 30; u += 0.00173) {
      const inputs = [u, u / 10, u / 300, 1000 * u]
      const t = Math.tanh(bias)
      for (const [i, found] of excessAt(inputs, t).entries()) {
        const x = inputs[i]
        const tanh = Math.tanh(x)
        const gain = x === 0 ? 1 : tanh / x / (1 + t * tanh)
        worst = Math.max(worst, Math.abs(found + 1 - gain))
      }
    }
    expect(worst).toBeLessThan(4e-15)
  })

  it('gives each value the same whatever its neighbours are', () => {
    const [alone] = excessAt([0.7, 0.1, 0.1, 0.1], 0.2)
    for (const other of [0, 3, -50, 1e300]) {
      expect(excessAt([0.7, other, other, other], 0.2)[0]).toBe(alone)
      expect(excessAt([other, 0.7, other, other], 0.2)[1]).toBe(alone)
      expect(excessAt([other, other, 0.7, other], 0.2)[2]).toBe(alone)
    }
  })

  it('is 0 for no input', () => {
    expect(excessAt([0, -0, 0, 0], 0.4)).toEqual([0, 0, 0, 0])
  })
})
