// One layer: its settings on the left, its waveform on the time axis.

import { useRef } from 'react'
import type { Group, Take } from '../../../app/contract/entities.ts'
import { changeLayer, removeLayer } from '../../acts/stack-acts.ts'
import { LAYER_GAIN_BOUNDS, OFFSET_BOUNDS, PAN_BOUNDS } from '../../formats/bounds.ts'
import { formatGain, formatPan, parsePan } from '../../formats/format.ts'
import { ROLE_ITEMS } from '../../formats/roles.ts'
import { formatOffset, parseOffset, stepOffset } from '../../formats/stack/offset-units.ts'
import { Button } from '../../parts/button.tsx'
import { InlineName } from '../../parts/fields/inline-name.tsx'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { Toggle } from '../../parts/fields/toggle.tsx'
import { Menu } from '../../parts/menu.tsx'
import { MutedSign, PlaySign, SoundingSign } from '../../parts/signs.tsx'
import { player } from '../../playback/player.ts'
import { selectLayer } from '../../state/selection.ts'
import { undoHistory } from '../../state/undo.ts'
import { neighbourOf } from './focus-beside.ts'
import { LayerWave, type LayerWaveProps } from './layer-wave.tsx'

export interface LayerRowProps extends Omit<LayerWaveProps, 'take' | 'onSelect'> {
  readonly take: Take | undefined
  readonly groups: readonly Group[]
}

/** One layer: fields on the left, waveform on the time axis. */
export function LayerRow(props: LayerRowProps) {
  const { layer, take, groups, base, unit } = props
  const row = useRef<HTMLDivElement>(null)
  return (
    <div ref={row} className="layer-row" data-selected={props.isSelected || undefined}>
      {/* biome-ignore lint/a11y/noStaticElementInteractions: the selection follows the focus of the fields inside */}
      <div className="layer-head" onFocus={() => selectLayer(layer)} onBlur={() => undoHistory.seal()}>
        <Button
          look="sign"
          aria-label={`Play ${layer.name}`}
          onPress={() => void player.play({ target: { kind: 'layer', layerId: layer.id }, draft: null })}
        >
          <PlaySign />
        </Button>
        <InlineName
          className="layer-name"
          label={`Name of ${layer.name}`}
          value={layer.name}
          onChange={(name) => void changeLayer(layer, { name }, 'name')}
        />
        <Menu
          className="layer-more"
          label={`More for ${layer.name}`}
          acts={[
            ...groups
              .filter((group) => group.id !== layer.groupId)
              .map((group) => ({
                name: `Move to ${group.name}`,
                onAction: () => void changeLayer(layer, { groupId: group.id }, 'group'),
              })),
            {
              name: 'Remove layer',
              onAction: () => {
                const next = neighbourOf(row.current, '.layer-wave')
                void removeLayer(layer).then((isDone) => isDone && next?.focus())
              },
            },
          ]}
        />
        <Toggle
          label={`Mute ${layer.name}`}
          isSelected={layer.muted}
          onChange={(muted) => void changeLayer(layer, { muted }, muted ? 'mute' : 'unmute')}
        >
          {layer.muted ? <MutedSign /> : <SoundingSign />}
        </Toggle>
        <NumberField
          label={`Gain of ${layer.name}`}
          isLabelHidden
          value={layer.gainDb}
          unit="dB"
          {...LAYER_GAIN_BOUNDS}
          step={0.5}
          format={formatGain}
          onChange={(gainDb) => void changeLayer(layer, { gainDb }, 'gain')}
        />
        <NumberField
          label={`Pan of ${layer.name}`}
          isLabelHidden
          value={layer.pan}
          unit=""
          {...PAN_BOUNDS}
          format={formatPan}
          parse={parsePan}
          example="L 30, C or R 30"
          stepBy={(pan, steps) => (Math.round(pan * 100) + steps) / 100}
          onChange={(pan) => void changeLayer(layer, { pan }, 'pan')}
        />
        <NumberField
          label={`Offset of ${layer.name}`}
          isLabelHidden
          value={layer.offsetSamples}
          unit=""
          {...OFFSET_BOUNDS}
          format={(frames) => formatOffset(frames, unit, base)}
          parse={(text) => parseOffset(text, unit, base)}
          example={unit === 'bars' ? 'bar.beat, or ms' : 'ms or samples'}
          stepBy={(frames, steps) => stepOffset(frames, steps, unit, base)}
          onChange={(offsetSamples) => void changeLayer(layer, { offsetSamples }, 'offset')}
        />
        <Select
          className="layer-role"
          label={`Role of ${layer.name}`}
          isLabelHidden
          items={ROLE_ITEMS}
          value={layer.role}
          onChange={(role) => {
            if (role !== null) void changeLayer(layer, { role }, 'role')
          }}
        />
      </div>
      <div className="lane">
        {take === undefined ? (
          <span className="lane-note">The take of this layer is not in the catalogue.</span>
        ) : (
          <LayerWave {...props} take={take} onSelect={() => selectLayer(layer)} />
        )}
      </div>
    </div>
  )
}
