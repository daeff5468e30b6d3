// Further curves of the demo's mics, and a target. Like the first ones they were drawn by hand, not
// measured.

import type { CurveRecord } from '../../contract/entities.ts'
import { DEMO_CONDENSER, DEMO_DYNAMIC } from '../../dsp/voice/demo-mics.ts'

type DemoCurve = Omit<CurveRecord, 'id' | 'micId' | 'picture'>

const INVENTED = 'Invented for the demo: never measured.'
const { frequenciesHz } = DEMO_CONDENSER.curve
const points = (levelsDb: readonly number[]) => ({
  frequenciesHz: [...frequenciesHz],
  levelsDb: [...levelsDb],
})

/** Curves by the name of their mic. */
export const FURTHER_CURVES: Readonly<Record<string, readonly DemoCurve[]>> = {
  [DEMO_CONDENSER.name]: [
    {
      name: 'Omni, on axis (invented)',
      source: 'invented',
      pattern: 'omni',
      distanceM: 0.3,
      note: INVENTED,
      points: points([
        -1.2, -0.7, -0.4, -0.2, -0.1, 0, 0, 0, 0, 0, 0, 0, 0, 0.1, 0.1, 0, 0, 0, 0, 0.1, 0.2, 0.4, 0.9, 1.6,
        2.6, 3.9, 5.2, 6.1, 4.4, 1.1, -4,
      ]),
    },
  ],
  [DEMO_DYNAMIC.name]: [
    {
      name: 'Close, on axis (invented)',
      source: 'invented',
      pattern: 'cardioid',
      distanceM: 0.05,
      note: INVENTED,
      points: points([
        -6, -1.9, 1.3, 3.6, 5, 5.7, 5.9, 5.6, 5, 4.2, 3.3, 2.3, 1.4, 0.5, -0.2, -0.4, -0.2, 0, 0.5, 1.1, 1.9,
        2.8, 3.5, 3.6, 2.8, 1.5, 0.4, -1.2, -4.5, -9.5, -17,
      ]),
    },
  ],
}

/** The target curve of the demo’s corrections. */
export const DEMO_TARGET: DemoCurve = {
  name: 'Calm and open (invented)',
  source: 'own',
  pattern: 'unknown',
  distanceM: null,
  note: 'An aim for corrections, invented for the demo: a little less below, a gentle lift on top.',
  points: {
    frequenciesHz: [20, 60, 150, 400, 1000, 3000, 8000, 14_000, 20_000],
    levelsDb: [-4, -1.5, -0.5, 0, 0, 0.3, 1.5, 2, 0.5],
  },
}
