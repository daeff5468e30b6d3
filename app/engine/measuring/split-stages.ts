// Splits the joints of a chain over two threads: the first passes the sound of its last joint on to the second
// (passed-sound.ts). Where the take is too long for that, both run the first stages, and each meters its own joints.

import type { StageKind } from '../../dsp/stages/settings.ts'
import type { StageRange, StageToMeasure } from './measure-joints.ts'

/** Time to meter one joint, in the same unit as the stages: ms for a minute of mono at 48 kHz, measured. */
const METER_COST = 85
/** A second thread that gets no sound passed reads the take and finds its active blocks again. */
const INPUT_COST = 25
/** Time that each stage takes, as METER_COST. */
export const STAGE_COSTS: Readonly<Record<StageKind, number>> = {
  trim: 3,
  expander: 14,
  'mic-correction': 65,
  'low-cut': 22,
  tone: 40,
  'de-ess': 135,
  drive: 285,
  opto: 110,
  ceiling: 13,
}

/**
 * One range, or two that take about equally long.
 * @param first the first stage to measure
 * @param threads how many there are
 * @param isPassedOn whether the second thread gets the sound of the first
 */
export function splitStages(
  stages: readonly StageToMeasure[],
  first: number,
  threads: number,
  isPassedOn: boolean,
): readonly StageRange[] {
  const whole: StageRange = { fromStage: first, toStage: stages.length }
  if (threads < 2) return [whole]
  const costs = stages.slice(first).map(({ setup }) => (setup === null ? 0 : STAGE_COSTS[setup.kind]))
  const meters = stages.slice(first).map(({ setup }) => (setup === null ? 0 : METER_COST))
  const sum = (list: readonly number[]): number => list.reduce((total, cost) => total + cost, 0)
  // The first part also meters the input, where it is not known yet.
  const inputMeter = first === 0 ? METER_COST : 0
  const timeOf = (split: number): number =>
    split === 0
      ? inputMeter + sum(costs) + sum(meters)
      : Math.max(
          inputMeter + sum(costs.slice(0, split)) + sum(meters.slice(0, split)),
          (isPassedOn ? sum(costs.slice(split)) : INPUT_COST + sum(costs)) + sum(meters.slice(split)),
        )
  let best = 0
  for (let split = 1; split < costs.length; split++) if (timeOf(split) < timeOf(best)) best = split
  return best === 0
    ? [whole]
    : [
        { fromStage: first, toStage: first + best },
        { fromStage: first + best, toStage: stages.length },
      ]
}
