// The layers that are checked add up to the stack as it is rendered, also where drive's gain differs from side to side.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { THIRD_OCTAVES } from '../../../app/dsp/analysis/spectra/third-octaves.ts'
import { checkStack } from '../../../app/engine/measuring/check-stack.ts'
import { createRenderUnit, unitsOf } from '../../../app/engine/rendering/render-unit.ts'
import { gramOf } from '../../dsp/stack/measured-stack.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { plannedGroup, plannedLayer, planOf, takeInMemory } from '../../signals/takes.ts'

const FRAMES = 96_000
const STAGES: StageSetup[] = [
  {
    kind: 'drive',
    settings: { amountDb: 12, referenceDbfs: -20, evenPercent: 40, mixPercent: 100, outputDb: 0 },
  },
  { kind: 'opto', settings: { ...defaultStages.opto.settings, thresholdDbfs: -30 } },
]
const open = ({ id }: { id: number }) => takeInMemory([whiteNoise(FRAMES, id, 0.4)])

describe.each(['own', 'shared'] as const)('a stack with chains that are %s', (sharing) => {
  const plan = planOf(FRAMES, {
    sharing,
    sharedStages: sharing === 'shared' ? STAGES : [],
    groups: [1, 2].map((id) =>
      plannedGroup(id, { gainDb: -2 * id, stages: sharing === 'own' ? STAGES : [] }),
    ),
    layers: [
      plannedLayer(1, 1, FRAMES, { role: 'lead' }),
      plannedLayer(2, 2, FRAMES, { role: 'double', pan: -0.8, gainDb: -3 }),
      plannedLayer(3, 2, FRAMES, { role: 'double', pan: 0.6, gainDb: -5 }),
    ],
  })

  it('is the sum of the layers that are checked', () => {
    const sides = [new Float64Array(FRAMES), new Float64Array(FRAMES)]
    const parts = plan.layers.map(() => sides.map(() => new Float64Array(FRAMES)))
    for (const unitPlan of unitsOf(plan)) {
      const unit = createRenderUnit(plan, unitPlan, open, { layerStems: true, pannedLayers: true })
      unit.begin(0)
      for (let at = 0; at < FRAMES; at += 1000) {
        unit.render(1000)
        for (let side = 0; side < 2; side++) {
          for (let i = 0; i < 1000; i++) {
            for (const group of unit.groups) sides[side][at + i] += group[side][i]
            for (const [k, layer] of unit.layers.entries()) {
              parts[plan.layers.indexOf(unitPlan.layers[k])][side][at + i] = layer[side][i]
            }
          }
        }
      }
    }
    let apart = 0
    for (let side = 0; side < 2; side++) {
      for (let n = 0; n < FRAMES; n++) {
        const sum = parts.reduce((all, part) => all + part[side][n], 0)
        apart = Math.max(apart, Math.abs(sum - sides[side][n]))
      }
    }
    expect(apart).toBeLessThan(1e-12)

    const phrases = [{ from: 0, to: FRAMES }]
    const checked = checkStack(plan, { fromFrame: 0, toFrame: FRAMES, phrases }, open, () => {})!
    const stack = gramOf([{ samples: sides[0] }, { samples: sides[1] }]).sides
    const lead = gramOf([{ samples: parts[0][0] }, { samples: parts[0][1] }]).sides
    for (let b = 0; b < THIRD_OCTAVES.length; b++) {
      const energy = ({ products }: typeof stack): number => products[b][0] + products[b][3]
      const buildUpDb = 10 * Math.log10(energy(stack) / energy(lead))
      expect(Math.abs(checked.bands[b].buildUpDb! - buildUpDb)).toBeLessThan(1e-6)
    }
  })
})
