// One layer: its controls on the left, its waveform on the time axis. A row that is out of sight is empty
// and keeps its height; it is filled when it comes near.

import { memo, useLayoutEffect, useRef } from 'react'
import type { Group, Take } from '../../../app/contract/entities.ts'
import { layerStateWords } from '../../../app/words/layers.ts'
import { selectLayer } from '../../state/selection.ts'
import { windowKeyActOf } from '../../state/single-keys.ts'
import { undoHistory } from '../../state/undo.ts'
import { CheckStrip } from './check/check-strip.tsx'
import { choosing } from './chosen/choosing-press.ts'
import { LayerHead } from './layer-head.tsx'
import { type LaneAxis, LayerWave, type LayerWaveProps } from './layer-wave.tsx'
import { makeOneTabStop, onRowKey } from './row-keys.ts'
import type { Density } from './stack-view.ts'

export interface LayerRowProps extends Omit<LayerWaveProps, 'take' | 'axis' | 'onSelect'> {
  readonly take: Take | undefined
  readonly groups: readonly Group[]
  readonly density: Density
  /** null where it is out of sight and not about to be in it. */
  readonly axis: LaneAxis | null
  /** Whether it is chosen to be changed together with others. */
  readonly isChosen: boolean
  /** Whether Tab reaches this row; it reaches one of all. */
  readonly isTabStop: boolean
  /** Whether the file of its take is missing. */
  readonly isMissing: boolean
  /** Whether it is silent because others are soloed. */
  readonly isSilenced: boolean
}

/**
 * One layer; arrows, letters and signs act on it while it has the focus. Remembered, so that rows out of sight do
 * nothing while the others zoom.
 */
export const LayerRow = memo(function LayerRow(props: LayerRowProps) {
  const { layer, take, groups, base, unit, density, axis } = props
  const isNear = axis !== null
  const row = useRef<HTMLDivElement>(null)
  // biome-ignore lint/correctness/useExhaustiveDependencies: these render controls anew
  useLayoutEffect(() => {
    if (isNear) makeOneTabStop(row.current!)
  }, [isNear, density, layer, groups, unit, take])
  return (
    // biome-ignore lint/a11y/useSemanticElements: a table cannot be laid out on a time axis
    <div
      ref={row}
      id={`layer-${layer.id}`}
      className="layer-row"
      role="row"
      tabIndex={props.isTabStop ? 0 : -1}
      aria-label={`${layer.name}${layerStateWords(layer)}${props.isMissing ? ', file missing' : ''}`}
      aria-selected={props.isChosen}
      data-chosen={props.isChosen || undefined}
      data-selected={props.isSelected || undefined}
      data-silenced={props.isSilenced || props.isMissing || undefined}
      {...choosing(layer)}
      onFocus={() => selectLayer(layer)}
      onBlur={() => undoHistory.seal()}
      onKeyDown={(event) => onRowKey(event, windowKeyActOf(event, 'row'), layer)}
    >
      {/* biome-ignore lint/a11y/useSemanticElements: as the row */}
      {/* biome-ignore lint/a11y/useFocusableInteractive: the row takes the focus, and the controls inside do */}
      <div className="layer-head" role="gridcell">
        {isNear ? <LayerHead {...{ layer, groups, base, unit, density }} /> : null}
      </div>
      {/* biome-ignore lint/a11y/useSemanticElements: as the row */}
      {/* biome-ignore lint/a11y/useFocusableInteractive: the row takes the focus, and the controls inside do */}
      <div className="lane" role="gridcell">
        {take === undefined ? (
          <span className="lane-note">The take of this layer is not in the catalogue.</span>
        ) : axis === null ? null : (
          <div className="lane-picture">
            <LayerWave {...props} axis={axis} take={take} onSelect={() => selectLayer(layer)} />
            <CheckStrip
              layerId={layer.id}
              layerName={layer.name}
              isOneLine={density === 'lines'}
              {...{ base, axis }}
            />
          </div>
        )}
        {props.isMissing ? <span className="lane-missing">File missing</span> : null}
      </div>
    </div>
  )
})
