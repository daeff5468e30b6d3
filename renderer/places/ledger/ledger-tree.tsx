// The history as a tree: sessions, their lines, and summed imports that open. One Tab stop; arrows move, fold
// and unfold, and reach the buttons of a row; Enter does what the row is for.

import { type ReactNode, useState } from 'react'
import {
  Button as AriaButton,
  Collection,
  type Key,
  ListLayout,
  Tree,
  TreeItem,
  TreeItemContent,
  Virtualizer,
} from 'react-aria-components'
import { formatDate, formatTimeOfDay, isoDateOf } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { type EntryTarget, targetOf } from '../../formats/ledger/entry-target.ts'
import type { EntryLine, LedgerFold, LedgerRow } from '../../formats/ledger/fold-ledger.ts'
import { Button } from '../../parts/button.tsx'
import { OpenSign } from '../../parts/signs.tsx'

const ROW_PX = 36

export interface LedgerTreeProps {
  readonly folds: readonly LedgerFold[]
  /** Whether rows are unfolded until they are folded, as for what a search found. */
  readonly isUnfolded: boolean
  /** Whether a session is open that chains can be given to. */
  readonly canUseChains: boolean
  readonly onRecall: (sessionId: number) => void
  readonly onUseChains: (sessionId: number) => void
  readonly onOpen: (target: EntryTarget) => void
}

export function LedgerTree(props: LedgerTreeProps) {
  const { folds, isUnfolded } = props
  const unfolded = useState<ReadonlySet<Key>>(new Set())
  const folded = useState<ReadonlySet<Key>>(new Set())
  // Keys that differ from the usual state.
  const [turned, setTurned] = isUnfolded ? folded : unfolded
  const opening = folds.flatMap((fold) => [
    fold.key,
    ...fold.lines.filter(({ is }) => is === 'imports').map(({ key }) => key),
  ])
  const expanded = new Set<Key>(opening.filter((key) => turned.has(key) !== isUnfolded))
  const actions: RowActions = {
    ...props,
    toggle: (key) =>
      setTurned((now) => new Set(now.has(key) ? [...now].filter((one) => one !== key) : [...now, key])),
  }
  return (
    <Virtualizer layout={ListLayout} layoutOptions={{ rowHeight: ROW_PX }}>
      <Tree
        className="ledger-tree"
        aria-label="History by session"
        items={folds}
        expandedKeys={expanded}
        onExpandedChange={(keys) => setTurned(new Set(opening.filter((key) => keys.has(key) !== isUnfolded)))}
        dependencies={[expanded, props.canUseChains]}
      >
        {(fold: LedgerFold) => <Row row={fold} isExpanded={expanded} actions={actions} />}
      </Tree>
    </Virtualizer>
  )
}

interface RowActions extends LedgerTreeProps {
  readonly toggle: (key: Key) => void
}

interface RowProps {
  readonly row: LedgerRow
  readonly isExpanded: ReadonlySet<Key>
  readonly actions: RowActions
}

/**
 * Of a folded row only the first one inside is built, which is how the tree knows that it can be unfolded:
 * building 10,000 rows takes seconds.
 */
function Row({ row, isExpanded, actions }: RowProps): ReactNode {
  const children: readonly LedgerRow[] = row.is === 'entry' ? [] : row.lines
  return (
    <TreeItem
      id={row.key}
      textValue={textOf(row)}
      className="ledger-row"
      data-is={row.is}
      hasChildItems={children.length > 0}
      onAction={() => (row.is === 'entry' ? openEntry(row, actions) : actions.toggle(row.key))}
    >
      <TreeItemContent>
        {({ level }) => (
          <div className="ledger-line" style={{ paddingLeft: (level - 1) * 20 }}>
            {children.length === 0 ? (
              <span className="ledger-chevron" />
            ) : (
              <AriaButton slot="chevron" className="ledger-chevron" aria-label="Show or hide the lines">
                <OpenSign />
              </AriaButton>
            )}
            <Cells row={row} actions={actions} />
          </div>
        )}
      </TreeItemContent>
      {children.length > 0 ? (
        <Collection
          items={isExpanded.has(row.key) ? children : children.slice(0, 1)}
          dependencies={[isExpanded]}
        >
          {(child: LedgerRow) => <Row row={child} isExpanded={isExpanded} actions={actions} />}
        </Collection>
      ) : null}
    </TreeItem>
  )
}

function Cells({ row, actions }: Omit<RowProps, 'isExpanded'>): ReactNode {
  switch (row.is) {
    case 'fold':
      return <FoldCells fold={row} actions={actions} />
    case 'imports':
      return (
        <>
          <Moment at={row.at} />
          <span className="ledger-what">
            <strong>{row.title}</strong>
          </span>
        </>
      )
    case 'entry':
      return <EntryCells line={row} actions={actions} />
  }
}

function FoldCells({ fold, actions }: { fold: LedgerFold; actions: RowActions }) {
  const { session, title, artistName, chains, entries } = fold
  return (
    <>
      <span className="ledger-title">{title}</span>
      <span className="ledger-what soft" title={chainWords(fold)}>
        {[
          session === null ? '' : formatDate(session.date),
          chainWords(fold) || countOf(entries, 'line'),
          artistName,
        ]
          .filter((words) => words !== '')
          .join(', ')}
      </span>
      {session === null ? null : (
        <span className="ledger-acts">
          {chains.length === 0 || !actions.canUseChains ? null : (
            <Button
              look="plain"
              aria-label={`Use these chains: ${title}, ${formatDate(session.date)}`}
              onPress={() => actions.onUseChains(session.id)}
            >
              Use these chains
            </Button>
          )}
          <Button
            look="plain"
            aria-label={`Recall sheet of ${title}`}
            onPress={() => actions.onRecall(session.id)}
          >
            Recall sheet
          </Button>
          <Button
            look="plain"
            aria-label={`Open session of ${title}`}
            onPress={() => actions.onOpen({ to: 'session', sessionId: session.id })}
          >
            Open session
          </Button>
        </span>
      )}
    </>
  )
}

const EntryCells = ({ line, actions }: { line: EntryLine; actions: RowActions }) => (
  <>
    <Moment at={line.entry.at} />
    <span className="ledger-kind soft">{line.words.kind}</span>
    <span className="ledger-what" title={line.words.detail}>
      <strong>{line.words.subject}</strong> <span className="soft">{line.words.detail}</span>
    </span>
    {targetOf(line.entry) === null ? null : (
      <span className="ledger-acts">
        <Button
          look="plain"
          aria-label={`Open ${line.words.subject}`}
          onPress={() => openEntry(line, actions)}
        >
          Open
        </Button>
      </span>
    )}
  </>
)

const Moment = ({ at }: { at: string }) => (
  <span className="ledger-time number soft">
    {formatDate(isoDateOf(at))} {formatTimeOfDay(at)}
  </span>
)

function openEntry({ entry }: EntryLine, { onOpen }: RowActions): void {
  const target = targetOf(entry)
  if (target !== null) onOpen(target)
}

const chainWords = ({ chains }: LedgerFold): string =>
  chains.map(({ chainName, number }) => `${chainName}, version ${number}`).join('; ')

/** What a screen reader says of a row. */
function textOf(row: LedgerRow): string {
  switch (row.is) {
    case 'fold':
      return [
        row.title,
        row.artistName,
        row.session === null ? '' : formatDate(row.session.date),
        chainWords(row),
      ]
        .filter((words) => words !== '')
        .join(', ')
    case 'imports':
      return row.title
    case 'entry':
      return [row.words.kind, row.words.subject, row.words.detail].filter((words) => words !== '').join(', ')
  }
}
