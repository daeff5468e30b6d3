// The lane of a folded group: the waveforms of its layers over one another.

import type { Layer, Take } from '../../../app/contract/entities.ts'
import type { TimeBase } from '../../formats/stack/offset-units.ts'
import { useEffectiveTheme } from '../../state/theme.ts'
import { usePeaks } from '../../waveform/use-peaks.ts'
import { Waveform } from '../../waveform/waveform.tsx'
import { WAVE_COLOURS } from './layer-wave.tsx'
import { lengthInSession } from './time-axis.ts'
import type { LaneViewport } from './use-lane-viewport.ts'

export interface GroupWaveProps {
  readonly layers: readonly Layer[]
  readonly takes: ReadonlyMap<number, Take>
  readonly base: TimeBase
  readonly originFrame: number
  readonly pxPerSecond: number
  readonly viewport: LaneViewport
  readonly height: number
  readonly waveGain: number
}

/** The layers of a folded group that are not muted. */
export function GroupWave({ layers, takes, ...axis }: GroupWaveProps) {
  return (
    <div className="lane group-lane" aria-hidden="true">
      {layers.map((layer) => {
        const take = takes.get(layer.takeId)
        return layer.muted || take === undefined ? null : (
          <PartWave key={layer.id} layer={layer} take={take} {...axis} />
        )
      })}
    </div>
  )
}

function PartWave(props: Omit<GroupWaveProps, 'layers' | 'takes'> & { layer: Layer; take: Take }) {
  const { layer, take, base, originFrame, pxPerSecond, viewport, height } = props
  const peaks = usePeaks(take.id)
  const theme = useEffectiveTheme()
  const pxPerFrame = pxPerSecond / base.sampleRateHz
  const leftPx = (layer.offsetSamples - originFrame) * pxPerFrame
  const widthPx = Math.max(2, lengthInSession(take, base.sampleRateHz) * pxPerFrame)
  const fromPx = Math.max(leftPx, viewport.fromPx)
  const toPx = Math.min(leftPx + widthPx, viewport.toPx)
  if (peaks === undefined || toPx - fromPx < 1) return null
  const takeFramesPerPx = take.frames / widthPx
  return (
    <div className="group-wave" style={{ left: fromPx }}>
      <Waveform
        peaks={peaks}
        fromFrame={(fromPx - leftPx) * takeFramesPerPx}
        toFrame={(toPx - leftPx) * takeFramesPerPx}
        width={toPx - fromPx}
        height={height}
        colour={WAVE_COLOURS[layer.role]}
        theme={theme}
        gain={props.waveGain * 10 ** (layer.gainDb / 20)}
      />
    </div>
  )
}
