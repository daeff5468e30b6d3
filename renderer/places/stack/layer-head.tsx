// The controls of a layer, left of its waveform. Apart from the row and remembered, so that zooming and
// scrolling do not render them again.

import { memo } from 'react'
import type { Group, Layer } from '../../../app/contract/entities.ts'
import type { TimeBase } from '../../../app/words/bars/bar-words.ts'
import { formatGain, formatPan, parsePan } from '../../../app/words/format.ts'
import { changeLayer, changeTogether, togetherWith } from '../../acts/stack-acts.ts'
import { LAYER_GAIN_BOUNDS, OFFSET_BOUNDS, PAN_BOUNDS } from '../../formats/bounds.ts'
import { ROLE_ITEMS } from '../../formats/roles.ts'
import { formatOffset, type OffsetUnit, parseOffset, stepOffset } from '../../formats/stack/offset-units.ts'
import { Button } from '../../parts/button.tsx'
import { InlineName } from '../../parts/fields/inline-name.tsx'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { Toggle } from '../../parts/fields/toggle.tsx'
import { Menu } from '../../parts/menu.tsx'
import { MutedSign, PlaySign, PolaritySign, SoundingSign } from '../../parts/signs.tsx'
import { player } from '../../playback/player.ts'
import { readSelection } from '../../state/selection.ts'
import { toggleChosen } from './chosen/choosing.ts'
import { removeWithFocus } from './row-keys.ts'
import { SoloButton } from './solo-button.tsx'
import type { Density } from './stack-view.ts'

export interface LayerHeadProps {
  readonly layer: Layer
  readonly groups: readonly Group[]
  readonly base: TimeBase
  readonly unit: OffsetUnit
  readonly density: Density
}

/** Play, name, solo, mute, polarity, gain, pan, offset and role; with rows of one line the role is in the menu. */
export const LayerHead = memo(function LayerHead({ layer, groups, base, unit, density }: LayerHeadProps) {
  const { name } = layer
  const isLine = density === 'lines'
  return (
    <>
      <Button
        look="sign"
        className="layer-play"
        aria-label={`Play ${name}`}
        onPress={() => void player.play({ target: { kind: 'layer', layerId: layer.id }, draft: null })}
      >
        <PlaySign />
      </Button>
      <InlineName
        className="layer-name"
        label={`Name of ${name}`}
        value={name}
        onChange={(changed) => void changeLayer(layer, { name: changed }, 'name')}
      />
      <span className="layer-switches">
        <SoloButton
          kind="layer"
          id={layer.id}
          name={name}
          allIds={() => togetherWith(layer).map(({ id }) => id)}
        />
        <Toggle
          label={`Mute ${name}`}
          isSelected={layer.muted}
          onChange={(muted) => void changeTogether(layer, { muted }, muted ? 'mute' : 'unmute')}
        >
          {layer.muted ? <MutedSign /> : <SoundingSign />}
        </Toggle>
      </span>
      <span className="layer-polarity">
        <Toggle
          label={`Invert polarity of ${name}`}
          isSelected={layer.polarityInverted}
          onChange={(polarityInverted) => void changeTogether(layer, { polarityInverted }, 'polarity')}
        >
          <PolaritySign />
        </Toggle>
      </span>
      <NumberField
        className="layer-gain"
        label={`Gain of ${name}`}
        isLabelHidden
        value={layer.gainDb}
        unit="dB"
        {...LAYER_GAIN_BOUNDS}
        step={0.5}
        format={formatGain}
        onChange={(gainDb) => void changeTogether(layer, { gainDb }, 'gain')}
      />
      <NumberField
        className="layer-pan"
        label={`Pan of ${name}`}
        isLabelHidden
        value={layer.pan}
        unit=""
        {...PAN_BOUNDS}
        format={formatPan}
        parse={parsePan}
        example="L 30, C or R 30"
        stepBy={(pan, steps) => (Math.round(pan * 100) + steps) / 100}
        onChange={(pan) => void changeTogether(layer, { pan }, 'pan')}
      />
      <NumberField
        className="layer-offset"
        label={`Offset of ${name}`}
        isLabelHidden
        value={layer.offsetSamples}
        unit=""
        {...OFFSET_BOUNDS}
        format={(frames) => formatOffset(frames, unit, base)}
        parse={(text) => parseOffset(text, unit, base)}
        example={unit === 'bars' ? 'bar.beat, or ms' : 'ms or samples'}
        stepBy={(frames, steps) => stepOffset(frames, steps, unit, base)}
        onChange={(offsetSamples) => void changeTogether(layer, { offsetSamples }, 'offset')}
      />
      {isLine ? null : (
        <Select
          className="layer-role"
          label={`Role of ${name}`}
          isLabelHidden
          items={ROLE_ITEMS}
          value={layer.role}
          onChange={(role) => {
            if (role !== null) void changeTogether(layer, { role }, 'role')
          }}
        />
      )}
      <Menu
        className="layer-more"
        label={`More for ${name}`}
        acts={[
          ...groups
            .filter((group) => group.id !== layer.groupId)
            .map((group) => ({
              name: `Move to ${group.name}`,
              onAction: () => void changeTogether(layer, { groupId: group.id }, 'group'),
            })),
          ...(isLine ? ROLE_ITEMS : [])
            .filter(({ key }) => key !== layer.role)
            .map(({ key, name: role }) => ({
              name: `Role: ${role}`,
              onAction: () => void changeTogether(layer, { role: key }, 'role'),
            })),
          { name: 'Choose it with others', onAction: () => toggleChosen(layer, readSelection().layerId) },
          {
            name: 'Remove layer',
            onAction: () => removeWithFocus(document.getElementById(`layer-${layer.id}`), layer),
          },
        ]}
      />
    </>
  )
})
