// The bar above the takes: import and what imported takes get; the filter; placing all at once.

import { useQuery } from '@tanstack/react-query'
import type { RefObject } from 'react'
import {
  SearchField as AriaSearchField,
  Button as ClearButton,
  FileTrigger,
  Input,
  Label,
} from 'react-aria-components'
import { MAX_NAME } from '../../../app/contract/text/limits.ts'
import { withOnlyCurve } from '../../acts/take-acts.ts'
import { TAKE_TYPES } from '../../formats/folder-names.ts'
import { ariaKeysOf } from '../../keys/key-table.ts'
import { Button } from '../../parts/button.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { CloseSign } from '../../parts/signs.tsx'
import { curvesQuery, micsQuery, voicesQuery } from '../../state/queries.ts'
import type { ImportSettings } from '../../state/take-desk.ts'

export interface BatchSettingsBarProps {
  readonly artistId: number
  readonly settings: ImportSettings
  readonly onChange: (settings: ImportSettings) => void
  readonly onFiles: (files: readonly File[]) => void
  readonly onEarlier: () => void
  readonly onNewVoice: () => void
  readonly onNewMic: () => void
}

/** Import buttons, and voice, mic and curve that imported takes get. */
export function BatchSettingsBar(props: BatchSettingsBarProps) {
  const { artistId, settings, onChange, onFiles, onEarlier, onNewVoice, onNewMic } = props
  const voices = useQuery(voicesQuery(artistId)).data ?? []
  const mics = useQuery(micsQuery).data ?? []
  const allCurves = useQuery(curvesQuery).data ?? []
  const curves = allCurves.filter((curve) => curve.micId !== null && curve.micId === settings.micId)
  return (
    <>
      <FileTrigger
        allowsMultiple
        acceptedFileTypes={[...TAKE_TYPES, 'audio/*']}
        onSelect={(files) => onFiles(files === null ? [] : [...files])}
      >
        <Button look="main" aria-keyshortcuts={ariaKeysOf('importTakes')}>
          Import takes
        </Button>
      </FileTrigger>
      <Button onPress={onEarlier}>Earlier takes</Button>
      <Select
        label="Voice for import"
        items={voices.map(({ id, name }) => ({ key: id, name }))}
        none="No voice"
        value={settings.voiceId}
        onChange={(voiceId) => onChange({ ...settings, voiceId })}
        create={{ name: 'New voice…', onCreate: onNewVoice }}
      />
      <Select
        label="Mic for import"
        items={mics.map(({ id, name, serial }) => ({
          key: id,
          name,
          ...(serial === '' ? {} : { detail: serial }),
        }))}
        none="No mic"
        value={settings.micId}
        onChange={(micId) => onChange({ ...settings, ...withOnlyCurve(micId, allCurves) })}
        create={{ name: 'New mic…', onCreate: onNewMic }}
      />
      <Select
        label="Curve for import"
        items={curves.map(({ id, name, source }) => ({ key: id, name, detail: source }))}
        none="No curve"
        value={settings.curveId}
        onChange={(curveId) => onChange({ ...settings, curveId })}
        isDisabled={settings.micId === null}
      />
    </>
  )
}

export interface TakeFilterProps {
  readonly filter: string
  readonly onChange: (filter: string) => void
  /** How many of all takes are listed. */
  readonly listed: number
  readonly all: number
  readonly input: RefObject<HTMLInputElement | null>
}

/** Filters the table; Escape clears. */
export const TakeFilter = ({ filter, onChange, listed, all, input }: TakeFilterProps) => (
  <AriaSearchField
    className="field search-field take-filter"
    value={filter}
    onChange={onChange}
    maxLength={MAX_NAME}
  >
    <Label className="field-label">Filter{filter === '' ? '' : `: ${listed} of ${all}`}</Label>
    <Input ref={input} className="field-input" placeholder="Name, finding, not placed" spellCheck={false} />
    <ClearButton className="button button-sign search-field-clear" aria-label="Clear filter">
      <CloseSign />
    </ClearButton>
  </AriaSearchField>
)
