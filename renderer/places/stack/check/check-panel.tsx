// The stack's check above the layers: what range is checked, the walk through the findings, and the table.

import { type ReactNode, useEffect, useState } from 'react'
import { ToggleButton } from 'react-aria-components'
import type { SessionContents } from '../../../../app/contract/entities.ts'
import { STRANDS } from '../../../../app/contract/joints.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { checkedState } from '../../../formats/stack/check-picture.ts'
import { ariaKeysOf } from '../../../keys/key-table.ts'
import { isTakenElsewhere } from '../../../keys/key-target.ts'
import { useKeyDown } from '../../../keys/use-key-down.ts'
import {
  type RangeChoice,
  rangeItems,
  shownRange,
  songRangeOf,
  WHOLE_SONG,
} from '../../../panels/bounce/song-range-choice.ts'
import { Button } from '../../../parts/button.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { Progress } from '../../../parts/progress.tsx'
import { endTriedStack } from '../../../playback/end-tried-stack.ts'
import { player } from '../../../playback/player.ts'
import { selectLayer, useSelection } from '../../../state/selection.ts'
import { windowKeyActOf } from '../../../state/single-keys.ts'
import { cancelCheck, openCheck, readCheckDesk, runCheck, showFinding, useCheckDesk } from './check-desk.ts'
import { CheckTable } from './check-table.tsx'
import { FindingLine } from './finding-line.tsx'
import './check.css'

export interface CheckPanelProps {
  readonly contents: SessionContents
  /** Shows the layers of a group. */
  readonly onUnfold: (groupId: number) => void
}

/** Opens and closes the check; the first time it runs over the whole song. */
export function CheckButton({ contents }: { contents: SessionContents }) {
  const { isOpen } = useCheckDesk()
  return (
    <ToggleButton
      className="button button-ruled check-button"
      isDisabled={contents.layers.length === 0}
      isSelected={isOpen}
      onChange={(opens) => {
        openCheck(opens)
        if (!opens) cancelCheck()
        else if (readCheckDesk().done === null) void runCheck(contents, { kind: 'song' })
      }}
    >
      Check
    </ToggleButton>
  )
}

/** Goes to a place of a finding: its layer is selected and shown, and playback loops around it. */
function goToFinding({ contents, onUnfold }: CheckPanelProps, finding: number, place = 0): void {
  const first = readCheckDesk().done?.check.findings[finding]?.layerIds[0]
  const layer = contents.layers.find(({ id }) => id === first)
  if (layer !== undefined) {
    onUnfold(layer.groupId)
    selectLayer(layer)
    document.getElementById(`layer-${layer.id}`)?.scrollIntoView({ block: 'nearest' })
  }
  const frame = showFinding(finding, place, contents.session.sampleRateHz)
  if (frame !== null) player.seek(frame)
}

export function CheckPanel(props: CheckPanelProps) {
  const { isOpen } = useCheckDesk()
  return isOpen ? <OpenPanel {...props} /> : null
}

function OpenPanel(props: CheckPanelProps) {
  const { contents } = props
  const { session } = contents
  const { fraction, failure, done, shown } = useCheckDesk()
  const { loop } = useSelection()
  const [range, setRange] = useState<RangeChoice>('song')
  const [isTableShown, setTableShown] = useState(false)
  const findings = done?.check.findings ?? []
  const isStale = done !== null && done.state !== checkedState(contents)
  useEffect(() => endTriedStack, [])

  const run = (choice: RangeChoice): void => {
    endTriedStack()
    setRange(choice)
    const wanted = songRangeOf({ ...WHOLE_SONG, range: choice }, contents, loop, session.sampleRateHz)
    void runCheck(contents, wanted ?? { kind: 'song' })
  }
  const go = (finding: number, place?: number): void => {
    endTriedStack()
    goToFinding(props, finding, place)
  }
  const walk = (step: 1 | -1): void => {
    if (findings.length === 0) return
    const from = shown?.finding ?? (step === 1 ? -1 : 0)
    go((from + step + findings.length) % findings.length)
  }
  useKeyDown((event) => {
    if (isTakenElsewhere(event.target)) return
    const act = windowKeyActOf(event, 'song')
    if (act !== 'nextFinding' && act !== 'previousFinding') return
    walk(act === 'nextFinding' ? 1 : -1)
    event.preventDefault()
    event.stopPropagation()
  })

  return (
    <section className="check-panel" aria-label="Stack check" data-stale={isStale || undefined}>
      <div className="check-bar">
        <Select<RangeChoice>
          className="check-range"
          label="Checked range"
          isLabelHidden
          items={rangeItems(contents, loop)}
          value={shownRange(range, contents, loop)}
          onChange={(key) => {
            if (key !== null) run(key)
          }}
        />
        {fraction === null ? (
          <Button onPress={() => run(shownRange(range, contents, loop))}>
            {done === null ? 'Check' : 'Check again'}
          </Button>
        ) : (
          <>
            <Progress label="Checking the stack" fraction={fraction} />
            <Button onPress={cancelCheck}>Cancel</Button>
          </>
        )}
        <span className="check-state" role="status">
          {stateWords(fraction, failure, findings.length, done !== null, isStale)}
        </span>
        {done === null || fraction !== null ? null : <Key />}
        <Button
          isDisabled={findings.length === 0}
          aria-keyshortcuts={ariaKeysOf('previousFinding')}
          onPress={() => walk(-1)}
        >
          Previous
        </Button>
        <Button
          isDisabled={findings.length === 0}
          aria-keyshortcuts={ariaKeysOf('nextFinding')}
          onPress={() => walk(1)}
        >
          Next finding
        </Button>
        <ToggleButton
          className="button button-plain check-button"
          isDisabled={done === null}
          isSelected={isTableShown}
          onChange={setTableShown}
        >
          Check as table
        </ToggleButton>
      </div>
      {done === null || shown === null ? (
        <Remarks remarks={done?.check.remarks ?? []} />
      ) : (
        <FindingLine
          key={shown.finding}
          {...{ contents, shown, isStale }}
          check={done.check}
          onPlace={(place) => go(shown.finding, place)}
        />
      )}
      {isTableShown && done !== null ? (
        <CheckTable check={done.check} shown={shown?.finding ?? null} onShow={go} />
      ) : null}
    </section>
  )
}

function stateWords(
  fraction: number | null,
  failure: string | null,
  count: number,
  isDone: boolean,
  isStale: boolean,
): ReactNode {
  if (fraction !== null) return 'Checking the stack'
  if (failure !== null) return <span className="check-failure">{failure}</span>
  if (!isDone) return ''
  const found = count === 0 ? 'Nothing found' : countOf(count, 'finding')
  return isStale ? `${found}, before the last change` : found
}

const Remarks = ({ remarks }: { remarks: readonly string[] }) =>
  remarks.length === 0 ? null : <p className="check-remarks">{remarks.join(' ')}</p>

/** What the strips in the rows mean. */
const Key = () => (
  <span className="check-key">
    Share of the stack
    <svg width="44" height="20" aria-hidden="true">
      {STRANDS.map(({ name }, i) => (
        <rect key={name} x="0" y={17 - 3.4 * i} width="44" height="2.6" fill={`var(--strand-${name})`} />
      ))}
    </svg>
    <span className="check-key-word">low to high</span>
    <span className="check-key-hot" aria-hidden="true" />
    builds up
  </span>
)
