// Levenberg-Marquardt least squares with bounds on each parameter: small, dense and
// deterministic. Filter designs and curve fits use it when a setting changes, never
// while audio runs.
// Source: Marquardt, SIAM J. Appl. Math. 11(2), 1963 (damping scaled by the
// diagonal); parameters at a bound are held there while the slope points outward.

/** Residuals and bounds of a problem. */
export interface LeastSquaresProblem {
  readonly residualCount: number
  /** Box, one entry per parameter. */
  readonly lower: ArrayLike<number>
  readonly upper: ArrayLike<number>
  /**
   * Fills the residuals, and their derivatives row by row: jacobian[r * n + p] is
   * residual r by parameter p.
   */
  evaluate(parameters: Float64Array, residuals: Float64Array, jacobian: Float64Array): void
}

interface LeastSquaresOptions {
  readonly maxIterations: number
  /** Ends when a step improves the sum of squares by less than this share of it. */
  readonly relativeTolerance: number
}

interface LeastSquaresSolution {
  readonly parameters: Float64Array
  readonly sumOfSquares: number
}

const FIRST_DAMPING = 1e-2
const MIN_DAMPING = 1e-9
const MAX_DAMPING = 1e9

/** Finds a local minimum of the sum of squared residuals from a start inside the box. */
export function solveLeastSquares(
  problem: LeastSquaresProblem,
  start: ArrayLike<number>,
  { maxIterations, relativeTolerance }: LeastSquaresOptions,
): LeastSquaresSolution {
  const { residualCount: rows, lower, upper } = problem
  const size = start.length
  let parameters = Float64Array.from(start)
  let residuals = new Float64Array(rows)
  let jacobian = new Float64Array(rows * size)
  let trial = new Float64Array(size)
  let trialResiduals = new Float64Array(rows)
  let trialJacobian = new Float64Array(rows * size)
  const normal = new Float64Array(size * size)
  const damped = new Float64Array(size * size)
  const slope = new Float64Array(size)
  const step = new Float64Array(size)
  problem.evaluate(parameters, residuals, jacobian)
  let cost = sumOfSquares(residuals)
  let damping = FIRST_DAMPING

  for (let iteration = 0; iteration < maxIterations; iteration++) {
    fillNormalEquations(normal, slope, residuals, jacobian, size)
    holdAtBounds(normal, slope, parameters, lower, upper)
    let improved = false
    let gain = 0
    while (!improved && damping <= MAX_DAMPING) {
      damped.set(normal)
      for (let p = 0; p < size; p++) damped[p * size + p] += damping * normal[p * size + p] + 1e-12
      if (solveSymmetric(damped, slope, step, size)) {
        for (let p = 0; p < size; p++) {
          trial[p] = Math.min(Math.max(parameters[p] - step[p], lower[p]), upper[p])
        }
        problem.evaluate(trial, trialResiduals, trialJacobian)
        const trialCost = sumOfSquares(trialResiduals)
        if (trialCost < cost) {
          gain = cost - trialCost
          cost = trialCost
          ;[parameters, trial] = [trial, parameters]
          ;[residuals, trialResiduals] = [trialResiduals, residuals]
          ;[jacobian, trialJacobian] = [trialJacobian, jacobian]
          improved = true
        }
      }
      damping = improved ? Math.max(damping / 8, MIN_DAMPING) : damping * 6
    }
    if (!improved || gain <= relativeTolerance * cost) break
  }
  return { parameters, sumOfSquares: cost }
}

function sumOfSquares(values: Float64Array): number {
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i] * values[i]
  return sum
}

/** normal = J'J, slope = J'r. */
function fillNormalEquations(
  normal: Float64Array,
  slope: Float64Array,
  residuals: Float64Array,
  jacobian: Float64Array,
  size: number,
): void {
  normal.fill(0)
  slope.fill(0)
  for (let r = 0; r < residuals.length; r++) {
    const row = r * size
    for (let p = 0; p < size; p++) {
      const derivative = jacobian[row + p]
      if (derivative === 0) continue
      slope[p] += derivative * residuals[r]
      for (let q = 0; q <= p; q++) normal[p * size + q] += derivative * jacobian[row + q]
    }
  }
}

/** Removes from the step the parameters that would only move further out of their bounds. */
function holdAtBounds(
  normal: Float64Array,
  slope: Float64Array,
  parameters: Float64Array,
  lower: ArrayLike<number>,
  upper: ArrayLike<number>,
): void {
  const size = parameters.length
  for (let p = 0; p < size; p++) {
    const outward = (parameters[p] <= lower[p] && slope[p] > 0) || (parameters[p] >= upper[p] && slope[p] < 0)
    if (!outward) continue
    slope[p] = 0
    for (let q = 0; q < p; q++) normal[p * size + q] = 0
    for (let q = p + 1; q < size; q++) normal[q * size + p] = 0
    normal[p * size + p] = 1
  }
}

/** Solves by Cholesky; only the lower triangle is read. False when not positive definite. */
function solveSymmetric(
  matrix: Float64Array,
  right: Float64Array,
  solution: Float64Array,
  size: number,
): boolean {
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * size + j]
      for (let p = 0; p < j; p++) sum -= matrix[i * size + p] * matrix[j * size + p]
      if (i !== j) matrix[i * size + j] = sum / matrix[j * size + j]
      else if (sum > 0) matrix[i * size + i] = Math.sqrt(sum)
      else return false
    }
  }
  for (let i = 0; i < size; i++) {
    let sum = right[i]
    for (let p = 0; p < i; p++) sum -= matrix[i * size + p] * solution[p]
    solution[i] = sum / matrix[i * size + i]
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = solution[i]
    for (let p = i + 1; p < size; p++) sum -= matrix[p * size + i] * solution[p]
    solution[i] = sum / matrix[i * size + i]
  }
  return true
}
