// Takes of the session with their measurements, one line each. One Tab stop: arrows move, Shift and Ctrl
// extend the selection, single keys act on it.

import { type KeyboardEvent, useMemo, useRef } from 'react'
import {
  Cell,
  Column,
  ResizableTableContainer,
  Row,
  type Selection,
  Table,
  TableBody,
  TableHeader,
  TableLayout,
  Virtualizer,
} from 'react-aria-components'
import type { Session } from '../../../app/contract/entities.ts'
import type { KeyActName } from '../../keys/key-table.ts'
import { windowKeyActOf } from '../../state/single-keys.ts'
import { changeTakeDesk, keepTakeScroll, type TakeSort, takeScrollPx } from '../../state/take-desk.ts'
import { useEffectiveTheme } from '../../state/theme.ts'
import { useHeardTake } from './hear-take.ts'
import type { TakeColumn } from './take-columns.tsx'
import type { TakeRow } from './take-rows.ts'
import { useRowInView } from './use-row-in-view.ts'

export interface TakeTableProps {
  readonly session: Session
  readonly columns: readonly TakeColumn[]
  readonly rows: readonly TakeRow[]
  readonly selected: readonly number[]
  /** The selected take whose details are shown. */
  readonly leadId: number | null
  readonly onSelect: (ids: readonly number[]) => void
  readonly sort: TakeSort
  /** A key of the group `takes`, or a double click, on a row. */
  readonly onAct: (act: KeyActName) => void
}

const ROW_PX = 27
const HEADING_PX = 46
/** The longest time between the two presses of a double click on common systems. */
const DOUBLE_CLICK_MS = 500

export function TakeTable(props: TakeTableProps) {
  const { session, columns, rows, selected, leadId, onSelect, sort, onAct } = props
  const theme = useEffectiveTheme()
  const heardId = useHeardTake()
  const pressedAtMs = useRef(Number.NEGATIVE_INFINITY)
  // The table's own set knows where a range with Shift begins, so it is given back while it still holds.
  const chosen = useRef<Exclude<Selection, 'all'>>(new Set())
  const keys = useMemo(() => {
    const isSame = chosen.current.size === selected.length && selected.every((id) => chosen.current.has(id))
    // The same set again draws no row anew.
    if (!isSame) chosen.current = new Set(selected)
    return chosen.current
  }, [selected])
  const choose = (now: Selection): void => {
    if (now !== 'all') chosen.current = now
    onSelect(now === 'all' ? rows.map(({ id }) => id) : [...now].map(Number))
  }
  // Items keep their identity between renders, so that only changed rows re-render.
  const items = useMemo(() => rows.map((row) => ({ id: row.id, row })), [rows])
  const scroller = useRowInView({
    place: rows.findIndex(({ id }) => id === leadId),
    key: leadId,
    isPressed: () => performance.now() - pressedAtMs.current < DOUBLE_CLICK_MS,
    rowPx: ROW_PX,
    headingPx: HEADING_PX,
    startPx: takeScrollPx(session.id),
    onScroll: (px) => keepTakeScroll(session.id, px),
  })

  // In the capture phase: the table itself takes letters for a search by first letters.
  const onKeyDown = (event: KeyboardEvent<HTMLElement>): void => {
    pressedAtMs.current = Number.NEGATIVE_INFINITY
    const at = event.target as HTMLElement
    if (at.closest('tbody [role="row"], .take-body [role="row"]') === null) return
    const act = windowKeyActOf(event, 'takes')
    if (act === null || (act === 'placeTakes' && at.closest('button') !== null)) return
    event.preventDefault()
    event.stopPropagation()
    onAct(act)
  }

  // The table builds its rows from these elements; the same ones again are not built anew at every selection.
  const content = useMemo(
    () => (
      <>
        <TableHeader columns={columns} dependencies={[sort]}>
          {({ key, name, unit, isNumber, width, value }) => (
            <Column
              id={key}
              isRowHeader={key === 'take'}
              allowsSorting={value !== undefined}
              textValue={name}
              className={`column-${key} ${isNumber ? 'column-number' : ''}`}
              width={typeof width === 'number' ? width : `${width.share}fr`}
              // The default minimum of 75 px is wider than the narrow columns.
              minWidth={typeof width === 'number' ? width : width.leastPx}
            >
              {({ sortDirection }) => (
                <>
                  <span className="column-name">
                    {key === 'wave' ? <span className="visually-hidden">{name}</span> : name}
                    <SortSign direction={sortDirection} />
                  </span>
                  {unit === undefined ? null : <span className="column-unit">{unit}</span>}
                </>
              )}
            </Column>
          )}
        </TableHeader>
        <TableBody
          items={items}
          className="take-body"
          dependencies={[columns, theme, session, heardId]}
          renderEmptyState={() => <p className="take-none soft">No take matches the filter.</p>}
        >
          {({ row }) => (
            <Row id={row.id} textValue={row.take.name} columns={columns} dependencies={[heardId, theme]}>
              {(column) => (
                <Cell className={`column-${column.key} ${column.isNumber ? 'column-number' : ''}`}>
                  {column.cell(row, { session, theme, heardId })}
                </Cell>
              )}
            </Row>
          )}
        </TableBody>
      </>
    ),
    [columns, items, sort, theme, session, heardId],
  )

  return (
    <div
      className="take-keys"
      onKeyDownCapture={onKeyDown}
      onPointerDownCapture={() => {
        pressedAtMs.current = performance.now()
      }}
    >
      <ResizableTableContainer ref={scroller} className="take-scroll">
        <Virtualizer layout={TableLayout} layoutOptions={{ rowHeight: ROW_PX, headingHeight: HEADING_PX }}>
          <Table
            aria-label="Takes"
            className="take-table"
            selectionMode="multiple"
            selectionBehavior="replace"
            disallowEmptySelection
            selectedKeys={keys}
            onSelectionChange={choose}
            // Enter is handled above; this is the double click.
            onRowAction={() => onAct('placeTakes')}
            {...(sort === null
              ? {}
              : {
                  sortDescriptor: {
                    column: sort.column,
                    direction: sort.isDescending ? ('descending' as const) : ('ascending' as const),
                  },
                })}
            onSortChange={({ column, direction }) =>
              changeTakeDesk(session.id, {
                sort: { column: String(column), isDescending: direction === 'descending' },
              })
            }
          >
            {content}
          </Table>
        </Virtualizer>
      </ResizableTableContainer>
    </div>
  )
}

/** A small mark of the direction, in the heading of the column that is sorted by. */
const SortSign = ({ direction }: { direction: 'ascending' | 'descending' | undefined }) =>
  direction === undefined ? null : (
    <svg className="sort-sign" viewBox="0 0 8 8" aria-hidden="true">
      <path d={direction === 'ascending' ? 'M0 6h8L4 1z' : 'M0 2h8L4 7z'} fill="currentColor" />
    </svg>
  )
