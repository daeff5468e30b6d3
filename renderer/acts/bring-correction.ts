// Brings a mic correction that was set up elsewhere onto the table of the Chain place, as a
// draft that can be taken back: into the stage that is there, or as a new one.

import type { ChainStage, MicCorrectionAims } from '../../app/contract/chain-document.ts'
import { type ChainRows, insertStage, replaceStage } from '../formats/chain/chain-rows.ts'
import { editRows, readChainDraft, watchChainDraft } from '../state/chain/chain-draft.ts'
import { goTo } from '../state/selection.ts'

/** Opens the Chain place; a session has to be open. */
export function bringCorrection(settings: MicCorrectionAims): void {
  const lay = (): void => {
    const correctionOf = (rows: ChainRows) => rows.find(({ stage }) => stage.kind === 'mic-correction')
    editRows(
      'mic correction from Mics',
      (rows) => {
        const first = rows.findIndex(({ stage }) => stage.kind !== 'trim' && stage.kind !== 'expander')
        const there =
          correctionOf(rows) === undefined
            ? insertStage(rows, 'mic-correction', first === -1 ? rows.length : first)
            : rows
        const stage: ChainStage = { kind: 'mic-correction', on: true, settings: structuredClone(settings) }
        return replaceStage(there, correctionOf(there)!.key, () => stage)
      },
      (rows) => correctionOf(rows)?.key ?? null,
    )
  }
  const stop = watchChainDraft(() => {
    if (readChainDraft() === null) return
    stop()
    // After the place has finished laying out what it was asked for.
    queueMicrotask(lay)
  })
  goTo('chain')
}
