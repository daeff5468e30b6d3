// The props of every stage panel.

import type { ChainStage } from '../../../../app/contract/chain-document.ts'
import type { StageKind } from '../../../../app/words/chain/setting-names.ts'
import type { TakeRange } from '../../../formats/song/song-ranges.ts'
import type { ChainOwner } from '../../../state/chain/chain-owner.ts'
import type { MeasuredRow } from '../river/match-measurement.ts'
import type { SongOfStages } from '../river/use-song.ts'

export interface PanelProps<K extends StageKind> {
  /** Owner of the draft that the panel edits. */
  readonly owner: ChainOwner
  readonly row: { readonly key: number; readonly stage: Extract<ChainStage, { kind: K }> }
  /** Place of the stage in the chain. */
  readonly index: number
  /** The take that the chain is measured on; null where none is placed. */
  readonly takeId: number | null
  /** Sample rate of the session. */
  readonly sampleRateHz: number
  /** null until the joints around the stage have been measured. */
  readonly measured: MeasuredRow | null
  /** What is measured along the song; null before it is, and for a take without rows. */
  readonly song: SongOfStages | null
  /** The range that figures are of; null for the whole take. */
  readonly range: TakeRange | null
  /** Height of the plot. */
  readonly plotPx: number
}
