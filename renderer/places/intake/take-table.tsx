// Takes of the session with their measurements, one row each.

import { useMemo } from 'react'
import {
  Cell,
  Column,
  ResizableTableContainer,
  Row,
  Table,
  TableBody,
  TableHeader,
  TableLayout,
  Virtualizer,
} from 'react-aria-components'
import type { Layer, Mic, Session, Take, Voice } from '../../../app/contract/entities.ts'
import { findingName } from '../../../app/words/findings.ts'
import { formatChannels, formatDuration, formatFile, formatLevel, formatRate } from '../../formats/format.ts'
import { Button } from '../../parts/button.tsx'
import { PlaySign } from '../../parts/signs.tsx'
import { player } from '../../playback/player.ts'
import { useEffectiveTheme } from '../../state/theme.ts'
import { Thumbnail } from '../../waveform/thumbnail.tsx'
import { useNarrow } from './use-narrow.ts'
import { useRowInView } from './use-row-in-view.ts'

export interface TakeTableProps {
  readonly session: Session
  readonly takes: readonly Take[]
  readonly layers: readonly Layer[]
  readonly mics: readonly Mic[]
  readonly voices: readonly Voice[]
  readonly selectedId: number | null
  readonly onSelect: (takeId: number) => void
  /** Called on Enter or a double click. */
  readonly onPlace: (take: Take) => void
}

const playTake = (take: Take, session: Session): void =>
  void player.play({
    target: { kind: 'take', takeId: take.id, sampleRateHz: session.sampleRateHz },
    draft: null,
  })

/** Fits three lines of text. */
const ROW_PX = 70
const HEADING_PX = 58

interface ColumnWords {
  readonly key: string
  readonly name: string
  readonly unit?: string
  readonly isNumber?: true
  readonly widthPx: number
  readonly narrowPx: number
}

/** A width of 0 takes the remaining space. */
const COLUMNS: readonly ColumnWords[] = [
  { key: 'take', name: 'Take', widthPx: 370, narrowPx: 240 },
  { key: 'format', name: 'Format', widthPx: 150, narrowPx: 136 },
  { key: 'length', name: 'Length', isNumber: true, widthPx: 76, narrowPx: 64 },
  { key: 'loudness', name: 'Loudness', unit: 'LUFS', isNumber: true, widthPx: 86, narrowPx: 80 },
  { key: 'range', name: 'Range', unit: 'LU', isNumber: true, widthPx: 70, narrowPx: 62 },
  { key: 'true-peak', name: 'True peak', unit: 'dBTP', isNumber: true, widthPx: 86, narrowPx: 82 },
  { key: 'sample-peak', name: 'Sample peak', unit: 'dBFS', isNumber: true, widthPx: 110, narrowPx: 106 },
  { key: 'findings', name: 'Findings', widthPx: 0, narrowPx: 0 },
  { key: 'who', name: 'Voice, mic', widthPx: 204, narrowPx: 150 },
]

/** Takes with format, loudness, findings, voice and mic; only visible rows are drawn. */
export function TakeTable(props: TakeTableProps) {
  const { session, takes, layers, mics, voices, selectedId, onSelect, onPlace } = props
  const theme = useEffectiveTheme()
  const isNarrow = useNarrow()
  // The items keep their identity between renders, so that only changed rows re-render.
  const items = useMemo(() => takes.map((take) => ({ id: take.id, take })), [takes])
  const scroller = useRowInView({
    place: takes.findIndex(({ id }) => id === selectedId),
    rowPx: ROW_PX,
    headingPx: HEADING_PX,
  })
  return (
    <ResizableTableContainer ref={scroller} className="take-scroll">
      <Virtualizer layout={TableLayout} layoutOptions={{ rowHeight: ROW_PX, headingHeight: HEADING_PX }}>
        <Table
          aria-label="Takes"
          className="take-table"
          selectionMode="single"
          selectionBehavior="replace"
          disallowEmptySelection
          selectedKeys={selectedId === null ? [] : [selectedId]}
          onSelectionChange={(keys) => {
            const [key] = keys === 'all' ? [] : keys
            if (key !== undefined) onSelect(Number(key))
          }}
          onRowAction={(key) => {
            const take = takes.find((one) => one.id === Number(key))
            if (take !== undefined) onPlace(take)
          }}
        >
          <TableHeader>
            {COLUMNS.map(({ key, name, unit, isNumber, widthPx, narrowPx }) => (
              <Column
                key={key}
                id={key}
                isRowHeader={key === 'take'}
                className={`column-${key} ${isNumber ? 'column-number' : ''}`}
                width={widthPx === 0 ? '1fr' : isNarrow ? narrowPx : widthPx}
                // The default minimum of 75 px is wider than the narrow columns.
                minWidth={narrowPx === 0 ? null : narrowPx}
              >
                {name}
                {unit === undefined ? null : <span className="column-unit">{unit}</span>}
              </Column>
            ))}
          </TableHeader>
          <TableBody items={items} dependencies={[layers, mics, voices, theme, session]}>
            {({ take }) => (
              <TakeRow
                {...{ take, session, mics, voices, theme }}
                placed={layers.filter((layer) => layer.takeId === take.id)}
              />
            )}
          </TableBody>
        </Table>
      </Virtualizer>
    </ResizableTableContainer>
  )
}

interface TakeRowProps extends Pick<TakeTableProps, 'session' | 'mics' | 'voices'> {
  readonly take: Take
  readonly placed: readonly Layer[]
  readonly theme: string
}

function TakeRow({ take, placed, session, mics, voices, theme }: TakeRowProps) {
  const isConverted = take.sampleRateHz !== session.sampleRateHz
  const { facts } = take
  return (
    <Row id={take.id} textValue={take.name}>
      <Cell className="column-take">
        <div className="take-cell">
          <Button look="sign" aria-label={`Play ${take.name}`} onPress={() => playTake(take, session)}>
            <PlaySign />
          </Button>
          <div className="take-words">
            <span className="take-name" title={take.name}>
              {take.name}
            </span>
            <span className="take-placed soft">
              {placed.length === 0 ? 'not placed' : placed.map((layer) => layer.role).join(', ')}
            </span>
          </div>
          <Thumbnail takeId={take.id} width={88} height={36} theme={theme} />
        </div>
      </Cell>
      <Cell>
        <span className="take-line number">{formatFile(take)}</span>
        <span className="take-line number soft">
          {formatRate(take.sampleRateHz)} {formatChannels(take.channels)}
        </span>
        {isConverted ? (
          <span className="take-converted">SRC to {formatRate(session.sampleRateHz)}</span>
        ) : null}
      </Cell>
      <Cell className="column-number">{formatDuration(take.frames / take.sampleRateHz)}</Cell>
      <Cell className="column-number">{formatLevel(facts.integratedLufs, '')}</Cell>
      <Cell className="column-number">{formatLevel(facts.loudnessRangeLu, '')}</Cell>
      <Cell className="column-number">{formatLevel(facts.truePeakDbtp, '')}</Cell>
      <Cell className="column-number">{formatLevel(facts.samplePeakDbfs, '')}</Cell>
      <Cell>
        {facts.findings.length === 0 ? (
          <span className="soft">none</span>
        ) : (
          <span className="take-findings">
            {facts.findings.map((finding) => findingName(finding.kind)).join(', ')}
          </span>
        )}
      </Cell>
      <Cell className="column-who">
        <span className="take-voice">
          {take.voiceId === null
            ? 'no voice'
            : (voices.find((voice) => voice.id === take.voiceId)?.name ?? 'another artist’s voice')}
        </span>
        <span className="take-mic soft">{mics.find((mic) => mic.id === take.micId)?.name ?? 'no mic'}</span>
      </Cell>
    </Row>
  )
}
