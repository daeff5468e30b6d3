// T4: what builds up in a stack and through whom. Closed forms of sums of layers; a bell planted on one of six layers
// of recorded speech and of generated voices; what is heard of a lead under doubles; and what is predicted of a change
// against the signals summed with it.

import type { Figure } from '../rows.ts'
import { blame } from './stack-check/blame-rows.ts'
import { closedForms } from './stack-check/closed-form-rows.ts'
import { heard } from './stack-check/heard-rows.ts'
import { heldOut } from './stack-check/held-out-rows.ts'
import { predictions } from './stack-check/prediction-rows.ts'
import { ID } from './stack-check/stacks.ts'

export function measureStackCheck(): Figure {
  return {
    id: ID,
    title: 'What builds up in a stack',
    rows: [...closedForms(), ...predictions(), ...blame(), ...heard(), ...heldOut()],
    plots: [],
  }
}
