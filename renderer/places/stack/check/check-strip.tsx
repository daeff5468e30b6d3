// In the lane of a layer: six strands as thick as the layer's share of the stack, phrase by phrase, and the findings on it.

import { memo, useEffect, useMemo, useRef } from 'react'
import { STRANDS } from '../../../../app/contract/joints.ts'
import type { TimeBase } from '../../../../app/words/bars/bar-words.ts'
import type { LayerPicture } from '../../../formats/stack/check-picture.ts'
import { player } from '../../../playback/player.ts'
import { noteInSight, showFinding, useCheckDesk } from './check-desk.ts'
import './check.css'

/** Heights of the strip. */
const STRIP_PX = 30
const ONE_LINE_STRIP_PX = 12
/** Between two flags whose places lie together. */
const FLAG_STEP_PX = 21
/** What builds up is seen in a row of one line as well. */
const HOT_PX = 4
/** A strand that is there at all is seen. */
const THINNEST_PX = 0.6

/** As that of the lane. */
interface StripAxis {
  /** Session frame at the left end of the lanes. */
  readonly originFrame: number
  readonly pxPerSecond: number
  readonly drawn: { readonly fromPx: number; readonly toPx: number }
}

export interface CheckStripProps {
  readonly layerId: number
  readonly layerName: string
  readonly base: TimeBase
  readonly axis: StripAxis
  readonly isOneLine: boolean
}

export const CheckStrip = memo(function CheckStrip({
  layerId,
  layerName,
  base,
  axis,
  isOneLine,
}: CheckStripProps) {
  const { isOpen, done, shown } = useCheckDesk()
  const picture = done?.pictures.get(layerId)
  const { originFrame, pxPerSecond, drawn } = axis
  const height = isOneLine ? ONE_LINE_STRIP_PX : STRIP_PX
  const xOf = (seconds: number): number =>
    (seconds - originFrame / base.sampleRateHz) * pxPerSecond - drawn.fromPx
  const widthPx = drawn.toPx - drawn.fromPx
  const paths = useMemo(
    () =>
      picture === undefined
        ? null
        : pathsOf(picture, height, widthPx, pxPerSecond, originFrame / base.sampleRateHz, drawn.fromPx),
    [picture, height, widthPx, pxPerSecond, originFrame, base.sampleRateHz, drawn.fromPx],
  )
  if (!isOpen || done === null || picture === undefined || paths === null) return null
  const names = done.check.findings
  const end = { px: Number.NEGATIVE_INFINITY }
  return (
    <div className="check-strip" style={{ left: drawn.fromPx, width: widthPx }}>
      <svg className="check-ribbons" width={widthPx} height={height} aria-hidden="true">
        {STRANDS.map(({ name }, strand) => (
          <path key={name} d={paths.strands[strand]} fill={`var(--strand-${name})`} />
        ))}
        <path className="check-hot" d={paths.hot} />
      </svg>
      {picture.marks
        .toSorted((a, b) => (a.places[0]?.fromS ?? 0) - (b.places[0]?.fromS ?? 0))
        .map((mark) => {
          const isShown = shown?.finding === mark.finding
          const place = mark.places[isShown ? shown.place : 0] ?? mark.places[0]
          if (place === undefined) return null
          const leftPx = Math.max(xOf(place.fromS), end.px + FLAG_STEP_PX)
          end.px = leftPx
          return (
            <Flag
              key={mark.finding}
              number={mark.finding + 1}
              label={`Finding ${mark.finding + 1} on ${layerName}`}
              leftPx={leftPx}
              isShown={isShown}
              isHot={mark.strand !== null}
              isComing={isShown && shown.isComing && names[mark.finding].layerIds[0] === layerId}
              onPress={() => {
                const next = isShown ? (shown.place + 1) % mark.places.length : 0
                const frame = showFinding(mark.finding, next, base.sampleRateHz)
                if (frame !== null) player.seek(frame)
              }}
            />
          )
        })}
      {picture.marks
        .filter(({ finding }) => finding === shown?.finding)
        .flatMap(({ places }) => places)
        .map(({ fromS, toS }) => (
          <span
            key={fromS}
            className="check-place"
            style={{ left: xOf(fromS), width: Math.max(3, (toS - fromS) * pxPerSecond) }}
          />
        ))}
    </div>
  )
})

interface FlagProps {
  readonly number: number
  readonly label: string
  readonly leftPx: number
  readonly isShown: boolean
  readonly isHot: boolean
  readonly isComing: boolean
  readonly onPress: () => void
}

/** Reached by the pointer; keys walk through the findings from anywhere in Stack. */
function Flag({ number, label, leftPx, isShown, isHot, isComing, onPress }: FlagProps) {
  const flag = useRef<HTMLButtonElement>(null)
  useEffect(() => {
    if (!isComing) return
    flag.current!.scrollIntoView({ block: 'nearest', inline: 'center' })
    noteInSight()
  }, [isComing])
  return (
    <button
      ref={flag}
      type="button"
      className="check-flag number"
      tabIndex={-1}
      aria-label={label}
      data-shown={isShown || undefined}
      data-hot={isHot || undefined}
      style={{ left: leftPx }}
      onClick={onPress}
    >
      {number}
    </button>
  )
}

/** Low strands below. The thickness goes by the root of the share, so that a quiet layer is seen as well. */
function pathsOf(
  { shares, marks }: LayerPicture,
  height: number,
  widthPx: number,
  pxPerSecond: number,
  originS: number,
  fromPx: number,
): { strands: string[]; hot: string } {
  const slot = height / STRANDS.length
  const strands = STRANDS.map(() => '')
  let hot = ''
  for (const { fromS, toS, strands: own } of shares) {
    const x = (fromS - originS) * pxPerSecond - fromPx
    const width = Math.max(1, (toS - fromS) * pxPerSecond - 1)
    if (x + width < 0 || x > widthPx) continue
    for (const [strand, share] of own.entries()) {
      if (share === null || share === 0) continue
      const middle = height - (strand + 0.5) * slot
      const isHot = marks.some(
        (mark) => mark.strand === strand && mark.places.some((one) => one.fromS < toS && one.toS > fromS),
      )
      const thick = isHot ? Math.max(HOT_PX, slot) : Math.max(THINNEST_PX, slot * Math.sqrt(share))
      const box = `M${x.toFixed(1)} ${(middle - thick / 2).toFixed(2)}h${width.toFixed(1)}v${thick.toFixed(2)}h${(-width).toFixed(1)}z`
      if (isHot) hot += box
      else strands[strand] += box
    }
  }
  return { strands, hot }
}
