// What changes all chosen layers at once. It stands below the sheet, so that no row moves when it appears.

import type { Layer, SessionContents } from '../../../../app/contract/entities.ts'
import { formatGain, formatPan, parsePan } from '../../../../app/words/format.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { changeLayers, removeLayers } from '../../../acts/stack-acts.ts'
import { LAYER_GAIN_BOUNDS, PAN_BOUNDS } from '../../../formats/bounds.ts'
import { commonOf, movedTogether } from '../../../formats/stack/moved-together.ts'
import { Button } from '../../../parts/button.tsx'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { useSelection } from '../../../state/selection.ts'
import { isLayerSoloed, toggleSolo, useSolo } from '../../../state/solo.ts'
import { undoHistory } from '../../../state/undo.ts'
import { chooseNone } from './choosing.ts'
import './chosen.css'

/** Shown while at least two layers are chosen: gain, pan, mute, solo and group of all of them. */
export function ChosenBar({ contents: { layers, groups } }: { contents: SessionContents }) {
  const { chosenIds } = useSelection()
  const chosen = layers.filter(({ id }) => chosenIds.has(id))
  if (chosen.length < 2) return null
  return <Changes chosen={chosen} groups={groups} />
}

function Changes({ chosen, groups }: { chosen: readonly Layer[]; groups: SessionContents['groups'] }) {
  const solo = useSolo()
  const areMuted = chosen.every(({ muted }) => muted)
  const areInverted = chosen.every(({ polarityInverted }) => polarityInverted)
  const areSoloed = chosen.every((layer) => isLayerSoloed({ ...solo, groupIds: new Set() }, layer))
  const groupId = commonOf(chosen.map((layer) => layer.groupId))
  const changeGain = (byDb: number): void => {
    const gains = movedTogether(
      chosen.map(({ gainDb }) => gainDb),
      byDb,
      LAYER_GAIN_BOUNDS,
    )
    void changeLayers(chosen, (layer) => ({ gainDb: gains[chosen.indexOf(layer)] }), 'gain')
  }
  return (
    <section className="chosen-bar" aria-label="Chosen layers" onBlur={() => undoHistory.seal()}>
      <span className="chosen-count" role="status">
        {countOf(chosen.length, 'layer')} chosen
      </span>
      <NumberField
        className="chosen-gain"
        label="Change gain by"
        value={0}
        unit="dB"
        min={LAYER_GAIN_BOUNDS.min - LAYER_GAIN_BOUNDS.max}
        max={LAYER_GAIN_BOUNDS.max - LAYER_GAIN_BOUNDS.min}
        step={0.5}
        format={formatGain}
        onChange={changeGain}
      />
      <NumberField
        className="chosen-pan"
        label="Pan"
        value={commonOf(chosen.map(({ pan }) => pan))}
        unit=""
        {...PAN_BOUNDS}
        format={formatPan}
        parse={parsePan}
        example="L 30, C or R 30"
        placeholder="different"
        stepBy={(pan, steps) => (Math.round(pan * 100) + steps) / 100}
        onChange={(pan) => void changeLayers(chosen, () => ({ pan }), 'pan')}
      />
      <Button
        aria-pressed={areMuted}
        onPress={() => void changeLayers(chosen, () => ({ muted: !areMuted }), areMuted ? 'unmute' : 'mute')}
      >
        {areMuted ? 'Unmute' : 'Mute'}
      </Button>
      <Button
        aria-pressed={areInverted}
        onPress={() => void changeLayers(chosen, () => ({ polarityInverted: !areInverted }), 'polarity')}
      >
        Invert polarity
      </Button>
      <Button
        aria-pressed={areSoloed}
        onPress={({ ctrlKey, metaKey, altKey }) =>
          toggleSolo(
            'layer',
            chosen.map(({ id }) => id),
            ctrlKey || metaKey || altKey,
          )
        }
      >
        {areSoloed ? 'Unsolo' : 'Solo'}
      </Button>
      <Select
        className="chosen-group"
        label="Group"
        items={groups.map(({ id, name }) => ({ key: id, name }))}
        value={groupId}
        placeholder="different"
        onChange={(id) => {
          if (id !== null && id !== groupId) void changeLayers(chosen, () => ({ groupId: id }), 'group')
        }}
      />
      <span className="chosen-end">
        <Button
          look="plain"
          onPress={() => void removeLayers(chosen).then((isDone) => isDone && chooseNone())}
        >
          Remove
        </Button>
        <Button look="plain" onPress={() => void chooseNone()}>
          Choose none
        </Button>
      </span>
    </section>
  )
}
