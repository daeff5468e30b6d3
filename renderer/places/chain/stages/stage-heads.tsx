// The stages in order above the river: each with its switch, name, a summary of its settings, and
// gain reduction or level change. They can be selected, moved and removed by mouse or keyboard.

import { type KeyboardEvent, useEffect, useRef, useState } from 'react'
import { Button as AriaButton, Switch } from 'react-aria-components'
import { isLayerStage } from '../../../../app/contract/chain-document.ts'
import { STAGE_NAMES, summaryOf } from '../../../../app/words/chain/stage-words.ts'
import { formatGain, formatNumber, withUnit } from '../../../../app/words/format.ts'
import type { ChainRow } from '../../../formats/chain/chain-rows.ts'
import { useDrag } from '../../../parts/use-drag.ts'
import { type ChainDraft, editStage, selectStage } from '../../../state/chain/chain-draft.ts'
import type { ChainOwner } from '../../../state/chain/chain-owner.ts'
import { windowKeyActOf } from '../../../state/single-keys.ts'
import type { MeasuredChain, MeasuredRow } from '../river/match-measurement.ts'
import { changeOf } from '../river/river.tsx'
import { moveRow, removeRow } from './row-acts.ts'

const HELP_ID = 'stage-heads-help'
const DRAG_STARTS_PX = 5
/** Columns from this width on show the word for gain reduction instead of an arrow. */
const ROOMY_COLUMN_PX = 136
/** Columns from this width on fit every name on one line. */
const ONE_LINE_COLUMN_PX = 140

export interface StageHeadsProps {
  readonly draft: ChainDraft
  readonly chain: MeasuredChain | null
  readonly columnPx: number
  readonly onPoint: (key: number | null) => void
}

export function StageHeads({ draft, chain, columnPx, onPoint }: StageHeadsProps) {
  const { owner, rows, selectedKey } = draft
  const list = useRef<HTMLOListElement>(null)
  const [dragged, setDragged] = useState<{ key: number; to: number } | null>(null)
  // An added or moved stage may be scrolled out of view.
  const selectedAt = rows.findIndex(({ key }) => key === selectedKey)
  useEffect(() => {
    list.current?.children[selectedAt]?.scrollIntoView({ block: 'nearest', inline: 'nearest' })
  }, [selectedAt])

  const focusHead = (index: number): void => {
    const key = rows[index]?.key
    if (key === undefined) return
    selectStage(owner, key)
    list.current?.querySelector<HTMLElement>(`[data-stage="${key}"]`)?.focus()
  }
  const onKeyDown = (event: KeyboardEvent, row: ChainRow): void => {
    const index = rows.indexOf(row)
    switch (windowKeyActOf(event, 'stages')) {
      case 'stageBefore':
        focusHead(index - 1)
        break
      case 'stageAfter':
        focusHead(index + 1)
        break
      case 'stageEarlier':
        moveRow(draft, row, index - 1)
        break
      case 'stageLater':
        moveRow(draft, row, index + 1)
        break
      case 'bypassStage':
        setOn(owner, row, !row.stage.on)
        break
      case 'removeStage':
        focusHead(index === rows.length - 1 ? index - 1 : index + 1)
        removeRow(owner, row)
        break
      default:
        return
    }
    event.preventDefault()
  }

  const { dragProps } = useDrag<{ key: number }>({
    startsAtPx: DRAG_STARTS_PX,
    onPress({ target }) {
      if (!(target instanceof Element) || target.closest('.stage-switch') !== null) return null
      const head = target.closest('.stage-head')
      const row = head === null ? undefined : rows[[...list.current!.children].indexOf(head)]
      return row === undefined ? null : { key: row.key }
    },
    onMove({ key }, event) {
      const x = event.clientX - list.current!.getBoundingClientRect().left
      setDragged({ key, to: Math.min(rows.length - 1, Math.max(0, Math.floor(x / columnPx))) })
    },
    onRelease({ key }) {
      const row = rows.find((one) => one.key === key)
      if (row !== undefined && dragged !== null) moveRow(draft, row, dragged.to)
      setDragged(null)
    },
    onCancel: () => setDragged(null),
  })

  // One Tab stop for the row: the selected stage, from which the arrow keys go on.
  const stop = rows.find(({ key }) => key === selectedKey) ?? rows[0]
  return (
    <ol
      ref={list}
      aria-label="Stages"
      className="stage-heads"
      data-narrow={columnPx < ONE_LINE_COLUMN_PX || undefined}
      style={{ gridTemplateColumns: `repeat(${rows.length}, ${columnPx}px)` }}
      {...dragProps}
    >
      {rows.map((row, index) => (
        <li
          key={row.key}
          className="stage-head"
          data-selected={row.key === selectedKey || undefined}
          data-off={!row.stage.on || undefined}
          data-dragged={row.key === dragged?.key || undefined}
          data-target={(dragged?.to === index && row.key !== dragged.key) || undefined}
          onMouseEnter={() => onPoint(row.key)}
          onMouseLeave={() => onPoint(null)}
          onFocus={() => onPoint(row.key)}
          onBlur={() => onPoint(null)}
        >
          <div className="stage-head-top">
            <Switch
              className="stage-switch"
              aria-label={`${STAGE_NAMES[row.stage.kind]} on`}
              isSelected={row.stage.on}
              excludeFromTabOrder
              onChange={(on) => setOn(owner, row, on)}
            >
              <span className="stage-switch-track" />
            </Switch>
            <span className="stage-place">{isLayerStage(row.stage) ? 'per layer' : ''}</span>
          </div>
          <AriaButton
            className="stage-name"
            data-stage={row.key}
            aria-current={row.key === selectedKey}
            aria-describedby={HELP_ID}
            excludeFromTabOrder={row.key !== (stop?.key ?? null)}
            onPress={() => selectStage(owner, row.key)}
            onKeyDown={(event) => onKeyDown(event as unknown as KeyboardEvent, row)}
          >
            <span className="stage-words">
              <span className="stage-title">{STAGE_NAMES[row.stage.kind]}</span>
              <span className="stage-summary" title={summaryOf(row.stage)}>
                {summaryOf(row.stage, columnPx < ONE_LINE_COLUMN_PX)}
              </span>
            </span>
            <span
              className="stage-effect number"
              data-stale={(chain !== null && chain.rows[index].ofStage !== 'measured') || undefined}
            >
              {effectOf(chain?.rows[index] ?? null, row, columnPx < ROOMY_COLUMN_PX)}
            </span>
            <span className="visually-hidden">
              , stage {index + 1} of {rows.length}
            </span>
          </AriaButton>
        </li>
      ))}
    </ol>
  )
}

const setOn = (owner: ChainOwner, row: ChainRow, on: boolean): void =>
  editStage(owner, row, on ? 'on' : 'off', (stage) => ({ ...stage, on }))

/** What the keys do, once for all heads. */
export const StageHeadsHelp = () => (
  <span id={HELP_ID} className="visually-hidden">
    Arrow keys select, Alt with arrow keys moves, B bypasses, Delete removes.
  </span>
)

/** Median and maximum gain reduction of stages that reduce gain; the level change of others. */
function effectOf(measured: MeasuredRow | null, { stage }: ChainRow, isNarrow: boolean): string {
  if (!stage.on) return 'off'
  if (measured?.stage == null || measured.ofStage === 'unknown') return ''
  const { maxReductionDb, medianReductionDb } = measured.stage
  if (maxReductionDb !== null) {
    return `${isNarrow ? '↓' : 'reduces'} ${formatNumber(medianReductionDb ?? 0, 1)}–${withUnit(formatNumber(maxReductionDb, 1), 'dB')}`
  }
  const change = changeOf(measured.before.levelDbfs, measured.after.levelDbfs)
  return change === null ? '' : `level ${formatGain(change)}`
}
