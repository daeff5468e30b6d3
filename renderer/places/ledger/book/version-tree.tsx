// The versions of a chain as a tree, newest first: notes, pins, and where each is used.

import type { BookVersion } from '../../../../app/contract/book/voice-book.ts'
import { formatDate, formatMoment } from '../../../../app/words/format.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { pinVersion } from '../../../acts/pin-acts.ts'
import { layTree, newestEnds, type TreeRow } from '../../../formats/book/version-tree.ts'
import { versionNumber } from '../../../formats/chain/version-words.ts'
import { Button } from '../../../parts/button.tsx'
import type { ShownVersion } from '../versions/chain-version-dialog.tsx'

const ROW_PX = 56
const COLUMN_PX = 18
/** Uses beyond these are counted. */
const MOST_USES = 2

export interface VersionTreeProps {
  readonly chainName: string
  /** Oldest first. */
  readonly versions: readonly BookVersion[]
  readonly onVersion: (version: ShownVersion) => void
}

export function VersionTree({ chainName, versions, onVersion }: VersionTreeProps) {
  const rows = layTree(versions)
  const showsMachine = new Set(versions.map(({ machineName }) => machineName)).size > 1
  const ends = newestEnds(versions)
  const width = (Math.max(...rows.map(({ column }) => column)) + 1) * COLUMN_PX + 6
  return (
    <>
      {ends.length < 2 ? null : (
        <p className="version-ends" role="note">
          {countOf(ends.length, 'newest version')}: {ends.map(endWords).join(' and ')}. Compare them, then go
          on with one of them, or join both.
        </p>
      )}
      <div className="version-tree" style={{ paddingLeft: width + 8 }}>
        <svg width={width} height={rows.length * ROW_PX} aria-hidden="true">
          {rows.map((row, i) => (
            <Lines key={row.version.id} row={row} at={i} />
          ))}
          {rows.map(({ version, column }, i) => (
            <circle
              key={version.id}
              className="version-dot"
              data-pinned={version.isPinned || undefined}
              cx={xOf(column)}
              cy={yOf(i)}
              r={version.isPinned ? 6 : 4.5}
            />
          ))}
        </svg>
        <ol aria-label={`Versions of ${chainName}, newest first`}>
          {rows.map(({ version }) => (
            <li key={version.id} style={{ height: ROW_PX }}>
              <VersionLine {...{ chainName, version, showsMachine, onVersion }} />
            </li>
          ))}
        </ol>
      </div>
    </>
  )
}

const endWords = (version: BookVersion): string =>
  `${versionNumber(version)} (${version.machineName}, ${formatMoment(version.createdAt)})`

const xOf = (column: number): number => column * COLUMN_PX + 9
const yOf = (row: number): number => row * ROW_PX + 12

/** To the parents: down in the own column, then across just above the parent. */
const Lines = ({ row, at }: { row: TreeRow<BookVersion>; at: number }) => (
  <>
    {row.parents.map((parent) => {
      const x = xOf(row.column)
      const toX = xOf(parent.column)
      const toY = yOf(parent.row)
      const down = x === toX ? `V${toY}` : `V${toY - ROW_PX / 2}L${toX} ${toY}`
      return <path key={parent.row} className="version-line" d={`M${x} ${yOf(at)}${down}`} />
    })}
  </>
)

interface VersionLineProps extends Pick<VersionTreeProps, 'chainName' | 'onVersion'> {
  readonly version: BookVersion
  readonly showsMachine: boolean
}

function VersionLine({ chainName, version, showsMachine, onVersion }: VersionLineProps) {
  const { id, chainId, note, createdAt, isPinned, uses, machineName } = version
  const number = versionNumber(version)
  const name = `${chainName}, version ${number}`
  const show = (sessionId: number | null): void => onVersion({ chainId, chainVersionId: id, sessionId })
  return (
    <div className="version-entry">
      <div className="version-head">
        <Button look="plain" aria-label={name} onPress={() => show(uses.at(-1)?.sessionId ?? null)}>
          <strong>Version {number}</strong>
        </Button>
        {note === '' ? null : (
          <span className="version-note" title={note}>
            {note}
          </span>
        )}
        <span className="soft">
          {formatMoment(createdAt)}
          {showsMachine ? `, ${machineName}` : ''}
        </span>
        <Button
          look="plain"
          aria-pressed={isPinned}
          aria-label={`${isPinned ? 'Pinned' : 'Pin'}: ${name}`}
          onPress={() => void pinVersion(version, name)}
        >
          {isPinned ? 'Pinned' : 'Pin'}
        </Button>
      </div>
      <div className="version-foot">
        {uses.length === 0 ? (
          <span className="soft">Not in use.</span>
        ) : (
          <span className="soft">Used in</span>
        )}
        {uses
          .slice(-MOST_USES)
          .reverse()
          .map((use) => (
            <span key={`${use.sessionId} ${use.groupId}`} className="version-use" title={wordsOfUse(use)}>
              <Button look="plain" onPress={() => show(use.sessionId)}>
                {wordsOfUse(use)}
              </Button>
            </span>
          ))}
        {uses.length > MOST_USES ? <span className="soft">and {uses.length - MOST_USES} more</span> : null}
      </div>
    </div>
  )
}

const wordsOfUse = ({ songTitle, date, groupName }: BookVersion['uses'][number]): string =>
  `${songTitle}, ${formatDate(date)} (${groupName ?? 'all groups'})`
