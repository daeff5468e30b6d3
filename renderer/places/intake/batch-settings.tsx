// The bar above the takes: import, and the voice, mic and curve that imported takes get.

import { useQuery } from '@tanstack/react-query'
import { FileTrigger } from 'react-aria-components'
import type { BatchSettings } from '../../acts/batch-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { curvesQuery, micsQuery, voicesQuery } from '../../state/queries.ts'

const AUDIO_TYPES = ['.wav', '.wave', '.bwf', '.rf64', '.aif', '.aiff', '.aifc', '.flac', 'audio/*']

export interface BatchSettingsBarProps {
  readonly artistId: number
  readonly settings: BatchSettings
  readonly onChange: (settings: BatchSettings) => void
  readonly onFiles: (files: readonly File[]) => void
  readonly onEarlier: () => void
}

/** Import button, and voice, mic and curve that imported takes get. */
export function BatchSettingsBar(props: BatchSettingsBarProps) {
  const { artistId, settings, onChange, onFiles, onEarlier } = props
  const voices = useQuery(voicesQuery(artistId)).data ?? []
  const mics = useQuery(micsQuery).data ?? []
  const curves = (useQuery(curvesQuery).data ?? []).filter(
    (curve) => curve.micId !== null && curve.micId === settings.micId,
  )
  return (
    <div className="batch-bar">
      <FileTrigger
        allowsMultiple
        acceptedFileTypes={AUDIO_TYPES}
        onSelect={(files) => onFiles(files === null ? [] : [...files])}
      >
        <Button look="main">Import takes</Button>
      </FileTrigger>
      <Button onPress={onEarlier}>Earlier takes</Button>
      <span className="batch-words soft">or drop files here. Recorded with</span>
      <Select
        label="Voice of the imported takes"
        isLabelHidden
        items={voices.map(({ id, name }) => ({ key: id, name }))}
        none="No voice"
        value={settings.voiceId}
        onChange={(voiceId) => onChange({ ...settings, voiceId })}
      />
      <Select
        label="Mic of the imported takes"
        isLabelHidden
        items={mics.map(({ id, name, serial }) => ({
          key: id,
          name,
          ...(serial === '' ? {} : { detail: serial }),
        }))}
        none="No mic"
        value={settings.micId}
        onChange={(micId) => onChange({ ...settings, micId, curveId: null })}
      />
      <Select
        label="Mic curve of the imported takes"
        isLabelHidden
        items={curves.map(({ id, name, source }) => ({ key: id, name, detail: source }))}
        none="No curve"
        value={settings.curveId}
        onChange={(curveId) => onChange({ ...settings, curveId })}
        isDisabled={settings.micId === null}
      />
    </div>
  )
}
