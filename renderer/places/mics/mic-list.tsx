// Mics and their curves: select for the overlay, edit, export, remove.

import type { CurveRecord, Mic } from '../../../app/contract/entities.ts'
import { exportCurve, removeCurve, removeMic } from '../../acts/mic-acts.ts'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { Menu } from '../../parts/menu.tsx'
import { curveLook, LookSign } from './curves/curve-plot.tsx'
import { describeCurve } from './curves/curve-words.ts'
import { changeCorrection, changeMicsState, showCurve } from './curves/mics-state.ts'
import { retrace } from './trace/trace-state.ts'

/** A dialog that the list opens. */
export type MicDialog =
  | { readonly kind: 'mic'; readonly mic: Mic | null }
  | { readonly kind: 'curve'; readonly curve: CurveRecord }
  | { readonly kind: 'import'; readonly micId: number | null }

export interface MicListProps {
  readonly mics: readonly Mic[]
  readonly curves: readonly CurveRecord[]
  readonly shownIds: readonly number[]
  readonly onDialog: (dialog: MicDialog) => void
}

/** Mics with their curves, then target curves; selected curves are shown in the overlay. */
export function MicList({ mics, curves, shownIds, onDialog }: MicListProps) {
  const targets = curves.filter((curve) => curve.micId === null)
  return (
    <>
      {mics.map((mic) => {
        const own = curves.filter((curve) => curve.micId === mic.id)
        return (
          <article key={mic.id} className="mic-entry">
            <div className="mic-entry-head">
              <h2>{mic.name}</h2>
              <Menu
                label={`More for ${mic.name}`}
                acts={[
                  { name: 'Import curve', onAction: () => onDialog({ kind: 'import', micId: mic.id }) },
                  { name: 'Edit mic', onAction: () => onDialog({ kind: 'mic', mic }) },
                  { name: 'Remove', onAction: () => void removeMic(mic) },
                ]}
              />
            </div>
            <p className="soft mic-facts">{describeMic(mic)}</p>
            {own.length === 0 ? (
              <p className="soft mic-facts">No curve yet, so its takes cannot be corrected.</p>
            ) : (
              <CurveChoices curves={own} shownIds={shownIds} onDialog={onDialog} />
            )}
          </article>
        )
      })}
      {targets.length === 0 ? null : (
        <article className="mic-entry">
          <div className="mic-entry-head">
            <h2>Target curves</h2>
          </div>
          <p className="soft mic-facts">Targets for corrections.</p>
          <CurveChoices curves={targets} shownIds={shownIds} onDialog={onDialog} />
        </article>
      )}
    </>
  )
}

const describeMic = (mic: Mic): string =>
  [
    mic.pattern === 'unknown' ? 'pattern unknown' : mic.pattern,
    mic.serial === '' ? '' : `serial ${mic.serial}`,
    mic.note,
  ]
    .filter((word) => word !== '')
    .join(' · ')

interface CurveChoicesProps {
  readonly curves: readonly CurveRecord[]
  readonly shownIds: readonly number[]
  readonly onDialog: (dialog: MicDialog) => void
}

const CurveChoices = ({ curves, shownIds, onDialog }: CurveChoicesProps) => (
  <ul className="curve-choices">
    {curves.map((curve) => {
      const at = shownIds.indexOf(curve.id)
      return (
        <li key={curve.id} className="curve-choice">
          <Checkbox isSelected={at !== -1} onChange={(isShown) => showCurve(curve.id, isShown, shownIds)}>
            <span className="curve-choice-words">
              <span>{curve.name}</span>
              <span className="soft">{describeCurve(curve)}</span>
            </span>
          </Checkbox>
          {at === -1 ? null : <LookSign look={curveLook(at)} />}
          <Menu
            label={`More for ${curve.name}`}
            acts={[
              {
                name: 'Correct this response',
                onAction: () => {
                  changeCorrection({ sourceId: curve.id })
                  changeMicsState({ view: 'correction' })
                },
              },
              { name: 'Edit curve', onAction: () => onDialog({ kind: 'curve', curve }) },
              { name: 'Export as CSV', onAction: () => void exportCurve(curve) },
              ...(curve.picture === null
                ? []
                : [{ name: 'Edit trace', onAction: () => void retrace(curve) }]),
              { name: 'Remove', onAction: () => void removeCurve(curve) },
            ]}
          />
        </li>
      )
    })}
  </ul>
)
