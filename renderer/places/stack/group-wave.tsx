// The lane of a folded group: the waveforms of its layers over one another.

import type { Layer, Take } from '../../../app/contract/entities.ts'
import type { TimeBase } from '../../../app/words/bars/bar-words.ts'
import { useEffectiveTheme } from '../../state/theme.ts'
import { usePeaks } from '../../waveform/use-peaks.ts'
import { Waveform } from '../../waveform/waveform.tsx'
import type { LaneAxis } from './layer-wave.tsx'
import { lengthInSession } from './time-axis.ts'

export interface GroupWaveProps {
  readonly layers: readonly Layer[]
  readonly takes: ReadonlyMap<number, Take>
  readonly base: TimeBase
  readonly axis: LaneAxis
  readonly height: number
  readonly waveGain: number
  /** A custom property of the theme, such as --group-1. */
  readonly colour: string
}

/** The layers of a folded group that are not muted. */
export function GroupWave({ layers, takes, ...rest }: GroupWaveProps) {
  return (
    <div className="lane group-lane" aria-hidden="true">
      <div className="lane-picture">
        {layers.map((layer) => {
          const take = takes.get(layer.takeId)
          return layer.muted || take === undefined ? null : (
            <PartWave key={layer.id} layer={layer} take={take} {...rest} />
          )
        })}
      </div>
    </div>
  )
}

function PartWave(props: Omit<GroupWaveProps, 'layers' | 'takes'> & { layer: Layer; take: Take }) {
  const { layer, take, base, height } = props
  const { originFrame, pxPerSecond, drawn } = props.axis
  const peaks = usePeaks(take.id)
  const theme = useEffectiveTheme()
  const pxPerFrame = pxPerSecond / base.sampleRateHz
  const leftPx = (layer.offsetSamples - originFrame) * pxPerFrame
  const widthPx = Math.max(2, lengthInSession(take, base.sampleRateHz) * pxPerFrame)
  const fromPx = Math.max(leftPx, drawn.fromPx)
  const toPx = Math.min(leftPx + widthPx, drawn.toPx)
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
        colour={props.colour}
        theme={theme}
        gain={props.waveGain * (layer.polarityInverted ? -1 : 1) * 10 ** (layer.gainDb / 20)}
      />
    </div>
  )
}
