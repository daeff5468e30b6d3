// The takes of the session with what was measured of them, one line each.

import { Cell, Column, Row, Table, TableBody, TableHeader } from 'react-aria-components'
import type { Layer, Mic, Session, Take, Voice } from '../../app/contract/entities.ts'
import { Button } from '../parts/button.tsx'
import { formatChannels, formatDuration, formatFile, formatLevel, formatRate } from '../parts/format.ts'
import { PlaySign } from '../parts/signs.tsx'
import { player } from '../playback/player.ts'
import { useEffectiveTheme } from '../shell/theme.ts'
import { Thumbnail } from '../waveform/thumbnail.tsx'

export interface TakeTableProps {
  readonly session: Session
  readonly takes: readonly Take[]
  readonly layers: readonly Layer[]
  readonly mics: readonly Mic[]
  readonly voices: readonly Voice[]
  readonly selectedId: number | null
  readonly onSelect: (takeId: number) => void
  /** Enter on a line. */
  readonly onPlace: (take: Take) => void
}

/** 'over-full-scale' as it is read. */
const findingWords = (kind: string): string => kind.replaceAll('-', ' ').replace(/^dc\b/, 'DC')

const playTake = (take: Take, session: Session): void =>
  void player.play({
    target: { kind: 'take', takeId: take.id, sampleRateHz: session.sampleRateHz },
    draft: null,
  })

export function TakeTable(props: TakeTableProps) {
  const { session, takes, layers, mics, voices, selectedId, onSelect, onPlace } = props
  const theme = useEffectiveTheme()
  return (
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
        <Column isRowHeader className="column-take">
          Take
        </Column>
        <Column className="column-format">Format</Column>
        <Column className="column-number column-length">Length</Column>
        <Column className="column-number column-loudness">
          Loudness <span className="column-unit">LUFS</span>
        </Column>
        <Column className="column-number column-range">
          Range <span className="column-unit">LU</span>
        </Column>
        <Column className="column-number column-true-peak">
          True peak <span className="column-unit">dBTP</span>
        </Column>
        <Column className="column-number">
          Sample peak <span className="column-unit">dBFS</span>
        </Column>
        <Column>Findings</Column>
        <Column className="column-who">Voice, mic</Column>
      </TableHeader>
      <TableBody
        items={takes.map((take) => ({ id: take.id, take }))}
        dependencies={[layers, mics, voices, theme, session]}
      >
        {({ take }) => {
          const placed = layers.filter((layer) => layer.takeId === take.id)
          const isConverted = take.sampleRateHz !== session.sampleRateHz
          return (
            <Row id={take.id} textValue={take.name}>
              <Cell>
                <div className="take-cell">
                  <Button
                    look="sign"
                    aria-label={`Listen to ${take.name}`}
                    onPress={() => playTake(take, session)}
                  >
                    <PlaySign />
                  </Button>
                  <div className="take-words">
                    <span className="take-name">{take.name}</span>
                    <span className="take-placed soft">
                      {placed.length === 0 ? 'not placed' : placed.map((layer) => layer.role).join(', ')}
                    </span>
                  </div>
                  <Thumbnail takeId={take.id} width={88} height={36} theme={theme} />
                </div>
              </Cell>
              <Cell>
                <span className="number">{formatFile(take)}</span>
                <br />
                <span className="number soft">
                  {formatRate(take.sampleRateHz)} {formatChannels(take.channels)}
                </span>
                {isConverted ? (
                  <span className="take-converted">converted to {formatRate(session.sampleRateHz)}</span>
                ) : null}
              </Cell>
              <Cell className="column-number">{formatDuration(take.frames / take.sampleRateHz)}</Cell>
              <Cell className="column-number">{formatLevel(take.facts.integratedLufs, '')}</Cell>
              <Cell className="column-number">{formatLevel(take.facts.loudnessRangeLu, '')}</Cell>
              <Cell className="column-number">{formatLevel(take.facts.truePeakDbtp, '')}</Cell>
              <Cell className="column-number">{formatLevel(take.facts.samplePeakDbfs, '')}</Cell>
              <Cell>
                {take.facts.findings.length === 0 ? (
                  <span className="soft">none</span>
                ) : (
                  <span className="take-findings">
                    {take.facts.findings.map((finding) => findingWords(finding.kind)).join(', ')}
                  </span>
                )}
              </Cell>
              <Cell>
                <span className="take-line">
                  {take.voiceId === null
                    ? 'voice not set'
                    : (voices.find((voice) => voice.id === take.voiceId)?.name ?? 'another artist’s voice')}
                </span>
                <span className="take-line soft">
                  {mics.find((mic) => mic.id === take.micId)?.name ?? 'mic not set'}
                </span>
              </Cell>
            </Row>
          )
        }}
      </TableBody>
    </Table>
  )
}
