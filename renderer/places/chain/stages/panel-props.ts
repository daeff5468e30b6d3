// What every panel of a stage is given.

import type { ChainStage } from '../../../../app/contract/chain-document.ts'
import type { StageKind } from '../../../formats/chain/chain-rows.ts'
import type { ChainOwner } from '../../../state/chain/chain-owner.ts'
import type { MeasuredRow } from '../river/use-chain-measurement.ts'

export interface PanelProps<K extends StageKind> {
  /** Whose draft the panel edits. */
  readonly owner: ChainOwner
  readonly row: { readonly key: number; readonly stage: Extract<ChainStage, { kind: K }> }
  /** The take that the chain is measured on; null where none is placed. */
  readonly takeId: number | null
  /** Of the session. */
  readonly sampleRateHz: number
  /** null until the joints around the stage have been measured. */
  readonly measured: MeasuredRow | null
  /** Height of the plot. */
  readonly plotPx: number
}
