// Marks of bands in a plot: each is a small picture of what the band does to the sound, stands on a stem like a
// note in a score, and has its name beside it.

import type { Band } from '../../../app/contract/chain-document.ts'
import { type LabelledMark, type LabelPlace, placeLabels } from './place-labels.ts'
import { type DragProps, useHandle, widthOf } from './plot-handles.tsx'
import { usePlotScale } from './plot-scale.ts'

/** Outlines of boosts around the middle of the mark; cuts are upside down. */
const BOOSTS: Readonly<Record<Band['shape'], string>> = {
  bell: 'M-10 6C-4 6-4-7 0-7S4 6 10 6Z',
  'low-shelf': 'M-9-6H-2C3-6 1 6 8 6H-9Z',
  'high-shelf': 'M9-6H2C-3-6-1 6-8 6H9Z',
}

interface BandSignProps {
  readonly shape: Band['shape']
  readonly isCut: boolean
  /** Any CSS colour. */
  readonly colour: string
}

const BandShape = ({ shape, isCut, colour }: BandSignProps) => (
  <path
    className="band-shape"
    d={BOOSTS[shape]}
    fill={colour}
    transform={isCut ? 'scale(1 -1)' : undefined}
  />
)

/** The mark of a band outside of a plot, for example beside its fields. */
export const BandSign = (props: BandSignProps) => (
  <svg className="band-sign" width={24} height={20} viewBox="-12 -10 24 20" aria-hidden="true">
    <BandShape {...props} />
  </svg>
)

export interface PlotMarkProps extends DragProps, BandSignProps {
  /** In the units of the axes. */
  readonly x: number
  readonly y: number
  /** What the band does, as in 'cut 315 Hz'. */
  readonly name: string
  readonly valueText: string
  readonly isSelected: boolean
  readonly onSelect: () => void
  readonly onRemove: () => void
}

/** The marks of all bands of a plot, with their names where they cover nothing. */
export function PlotMarks({ marks }: { marks: readonly PlotMarkProps[] }) {
  const scale = usePlotScale()
  const places = placeLabels(
    marks.map(
      ({ x, y, name, isCut }): LabelledMark => ({
        x: scale.x(x),
        y: inField(scale.y(y), scale),
        widthPx: widthOf(name),
        isAbove: !isCut,
      }),
    ),
    scale,
  )
  return marks.map((mark, index) => (
    // biome-ignore lint/suspicious/noArrayIndexKey: a band is its place in the list
    <PlotMark key={index} {...mark} label={places[index]} />
  ))
}

const inField = (y: number, { top, bottom }: { top: number; bottom: number }): number =>
  Math.min(bottom, Math.max(top, y))

function PlotMark(props: PlotMarkProps & { readonly label: LabelPlace }) {
  const { label, name, onRemove } = props
  const scale = usePlotScale()
  const { bind } = useHandle(props)
  const x = scale.x(props.x)
  const y = inField(scale.y(props.y), scale)
  return (
    <g
      className="plot-handle plot-point plot-mark"
      data-selected={props.isSelected || undefined}
      role="slider"
      tabIndex={0}
      aria-label={name}
      aria-valuenow={props.y}
      aria-valuetext={props.valueText}
      onFocus={props.onSelect}
      {...bind(x, y, { removeBand: onRemove })}
    >
      <line className="plot-stem" x1={x} x2={x} y1={scale.y(0)} y2={y} stroke={props.colour} />
      <g transform={`translate(${x} ${y})`}>
        <circle className="plot-hit" r={16} />
        <BandShape shape={props.shape} isCut={props.isCut} colour={props.colour} />
      </g>
      <text className="plot-mark-name" x={label.x} y={label.y} textAnchor="middle">
        {name}
      </text>
    </g>
  )
}
