// The settings of the selected stage: its plot, its fields, and its measured effect.

import type { ReactNode } from 'react'
import { ToggleButton } from 'react-aria-components'
import { defaultStages } from '../../../../app/contract/chain-document.ts'
import { STRANDS } from '../../../../app/contract/joints.ts'
import type { StageKind } from '../../../../app/words/chain/setting-names.ts'
import { STAGE_NAMES, STAGE_PURPOSES } from '../../../../app/words/chain/stage-words.ts'
import { formatNumber } from '../../../../app/words/format.ts'
import type { ChainRow } from '../../../formats/chain/chain-rows.ts'
import { ariaKeysOf } from '../../../keys/key-table.ts'
import { isTakenElsewhere } from '../../../keys/key-target.ts'
import { useKeyDown } from '../../../keys/use-key-down.ts'
import { Button, namingKeys } from '../../../parts/button.tsx'
import { editStage } from '../../../state/chain/chain-draft.ts'
import { windowKeyActOf } from '../../../state/single-keys.ts'
import { type MeasuredRow, unmeasured } from '../river/match-measurement.ts'
import { changeOf } from '../river/river.tsx'
import { useSongDesk } from '../song/song-desk.ts'
import { DeEssPanel, DrivePanel } from './character-panels.tsx'
import { CeilingPanel, ExpanderPanel, OptoPanel, TrimPanel } from './level-panels.tsx'
import type { PanelProps } from './panel-props.ts'
import { LowCutPanel, MicCorrectionPanel } from './response-panels.tsx'
import { removeRow } from './row-acts.ts'
import { TonePanel } from './tone-panel.tsx'

export interface StagePanelProps extends Omit<PanelProps<StageKind>, 'row'> {
  readonly row: ChainRow
  /** What the figures are of, as measuredKey has it; null for nothing. */
  readonly of: string | null
  /** Whether the figures are of a part of the take, until the whole is measured. */
  readonly isOfPart: boolean
  readonly isComparing: boolean
  readonly onCompare: () => void
}

export function StagePanel(props: StagePanelProps) {
  const { row, of, isOfPart, isComparing, onCompare, ...shared } = props
  const { owner, takeId, measured } = shared
  const { kind } = row.stage
  useCompareKey(onCompare)
  return (
    <section className="stage-panel" aria-label={`Settings of ${STAGE_NAMES[kind]}`}>
      <header className="stage-panel-head">
        <h2>{STAGE_NAMES[kind]}</h2>
        <span className="soft">
          {isComparing
            ? 'Compared with its input: Before and After below, equally loud'
            : STAGE_PURPOSES[kind]}
        </span>
        <span className="stage-panel-acts">
          <ToggleButton
            className="button button-ruled stage-compare"
            {...namingKeys(ariaKeysOf('compareStage'))}
            isSelected={isComparing}
            isDisabled={takeId === null}
            onChange={onCompare}
          >
            Compare stage
          </ToggleButton>
          <Button
            look="plain"
            onPress={() =>
              editStage(owner, row, 'back to defaults', (stage) => ({
                ...structuredClone(defaultStages[kind]),
                on: stage.on,
              }))
            }
          >
            Reset to defaults
          </Button>
          <Button look="plain" onPress={() => removeRow(owner, row)}>
            Remove
          </Button>
        </span>
      </header>
      <div className="stage-panel-body">
        {panelOf(row, shared)}
        {of === null ? null : <StrandChanges {...{ of, measured, isOfPart }} />}
      </div>
    </section>
  )
}

function useCompareKey(onCompare: () => void): void {
  useKeyDown((event) => {
    if (isTakenElsewhere(event.target)) return
    if (windowKeyActOf(event, 'chain') !== 'compareStage') return
    event.preventDefault()
    onCompare()
  })
}

function panelOf({ key, stage }: ChainRow, shared: Omit<PanelProps<StageKind>, 'row'>): ReactNode {
  switch (stage.kind) {
    case 'trim':
      return <TrimPanel {...shared} row={{ key, stage }} />
    case 'expander':
      return <ExpanderPanel {...shared} row={{ key, stage }} />
    case 'mic-correction':
      return <MicCorrectionPanel {...shared} row={{ key, stage }} />
    case 'low-cut':
      return <LowCutPanel {...shared} row={{ key, stage }} />
    case 'tone':
      return <TonePanel {...shared} row={{ key, stage }} />
    case 'de-ess':
      return <DeEssPanel {...shared} row={{ key, stage }} />
    case 'drive':
      return <DrivePanel {...shared} row={{ key, stage }} />
    case 'opto':
      return <OptoPanel {...shared} row={{ key, stage }} />
    case 'ceiling':
      return <CeilingPanel {...shared} row={{ key, stage }} />
  }
}

const numberOf = (value: number | null): string => (value === null ? '—' : formatNumber(value, 1))

/** Air on top, as in the river. */
const TOP_DOWN = STRANDS.map(({ name }, index) => ({ name, index })).reverse()

/** Keeps the table's place until the stage has been measured. */
const UNMEASURED = unmeasured(1).rows[0]

function StrandChanges({
  of,
  measured,
  isOfPart,
}: {
  of: string
  measured: MeasuredRow | null
  isOfPart: boolean
}) {
  const { range } = useSongDesk(of)
  const { before, after } = measured ?? UNMEASURED
  const isStale = measured?.ofStage === 'stale'
  const lines = [
    ...TOP_DOWN.map(({ name, index }) => ({
      name,
      isStrand: true,
      from: before.strandsDbfs[index],
      to: after.strandsDbfs[index],
    })),
    { name: 'loudness', isStrand: false, from: before.loudnessLufs, to: after.loudnessLufs },
    { name: 'crest', isStrand: false, from: before.crestDb, to: after.crestDb },
  ]
  return (
    <table className="strand-changes" data-stale={isStale || undefined}>
      <caption className="visually-hidden">Effect of this stage</caption>
      <thead>
        <tr>
          <th scope="col">
            {isStale
              ? 'Before edit'
              : isOfPart
                ? 'In a part'
                : range !== null
                  ? 'In this range'
                  : of.startsWith('group')
                    ? 'On this group'
                    : 'On this take'}
          </th>
          <th scope="col">in</th>
          <th scope="col">out</th>
          <th scope="col">dB</th>
        </tr>
      </thead>
      <tbody>
        {lines.map(({ name, isStrand, from, to }) => {
          const change = changeOf(from, to)
          return (
            <tr key={name}>
              <th scope="row">
                <span
                  className="strand-swatch"
                  style={{ background: isStrand ? `var(--strand-${name})` : 'transparent' }}
                />
                {name}
              </th>
              <td>{numberOf(from)}</td>
              <td>{numberOf(to)}</td>
              <td data-changed={(change !== null && Math.abs(change) >= 0.05) || undefined}>
                {change === null
                  ? ''
                  : `${Number(change.toFixed(1)) > 0 ? '+' : ''}${formatNumber(change, 1)}`}
              </td>
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}
