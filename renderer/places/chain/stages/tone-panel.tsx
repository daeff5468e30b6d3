// The panel of the tone stage: bells and shelves as marks on the response, and as rows of fields.

import { type RefObject, useEffect, useRef, useState } from 'react'
import { type Band, MAX_SHELF_Q } from '../../../../app/contract/chain-document.ts'
import { STRANDS } from '../../../../app/contract/joints.ts'
import { MAX_BANDS } from '../../../../app/contract/text/limits.ts'
import { BAND_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { formatFrequency, formatGain, formatNumber } from '../../../../app/words/format.ts'
import { BAND_BOUNDS } from '../../../formats/bounds.ts'
import { freeFrequency, nameOfBand, strandColourAt } from '../../../formats/chain/band-words.ts'
import { withSettings } from '../../../formats/chain/setting-fields.ts'
import { snappedFrequency, steppedFrequency, within } from '../../../formats/chain/settings-in-place.ts'
import { isTakenElsewhere } from '../../../keys/key-target.ts'
import { useKeyDown } from '../../../keys/use-key-down.ts'
import { evenAxis, FREQUENCY_AXIS } from '../../../parts/plot/axis.ts'
import { Plot } from '../../../parts/plot/plot.tsx'
import { PlotCurve } from '../../../parts/plot/plot-curves.tsx'
import { PlotMarks } from '../../../parts/plot/plot-mark.tsx'
import { usePlotScale } from '../../../parts/plot/plot-scale.ts'
import { editStage } from '../../../state/chain/chain-draft.ts'
import { windowKeyActOf } from '../../../state/single-keys.ts'
import { BandList } from './band-list.tsx'
import type { PanelProps } from './panel-props.ts'
import { RESPONSE_FREQUENCIES_HZ, useResponse } from './use-response.ts'
import { VoiceSpectrum } from './voice-spectrum.tsx'

/** Q of a new band, about 1.4 octaves wide. Common practice. */
const FRESH_Q = 1

const tenth = (value: number): number => Math.round(value * 10) / 10

export function TonePanel(props: PanelProps<'tone'>) {
  const { owner, row, index: place, takeId, sampleRateHz, song, range, plotPx } = props
  const { stage } = row
  const { bands } = stage.settings
  const [chosen, setChosen] = useState(0)
  const addButton = useRef<HTMLButtonElement>(null)
  const [frame, focusSoon] = useMarkFocus(bands.length, addButton)
  const alone = (some: readonly Band[]) => ({ ...stage, on: true, settings: { bands: [...some] } })
  const responses =
    useResponse(takeId, [alone(bands), ...bands.map((band) => alone([band]))], sampleRateHz).data?.stages ??
    []

  const setBands = (what: string, change: (now: readonly Band[]) => Band[]): void =>
    editStage(owner, row, what, (now) => withSettings(now, { bands: change(now.settings.bands) }))
  const setBand = (index: number, what: string, changes: Partial<Band>): void =>
    setBands(`band ${index + 1} ${what}`, (now) =>
      now.map((band, i) => (i === index ? withShelfQ({ ...band, ...changes }) : band)),
    )
  const add = (frequencyHz: number, gainDb: number): void => {
    if (bands.length >= MAX_BANDS) return
    setChosen(bands.length)
    focusSoon(bands.length)
    setBands('new band', (now) => [
      ...now,
      {
        shape: 'bell',
        frequencyHz: snappedFrequency(frequencyHz, false, BAND_BOUNDS.frequencyHz),
        gainDb: tenth(within(gainDb, BAND_BOUNDS.gainDb)),
        q: FRESH_Q,
      },
    ])
  }

  const addFree = (): void => add(freeFrequency(bands), 0)
  const remove = (index: number): void => {
    focusSoon(Math.min(index, bands.length - 2))
    setBands(`remove band ${index + 1}`, (now) => now.filter((_, i) => i !== index))
  }
  useKeyDown((event) => {
    if (isTakenElsewhere(event.target) || windowKeyActOf(event, 'chain') !== 'addBand') return
    event.preventDefault()
    addFree()
  })
  const isTall = bands.some(({ gainDb }) => Math.abs(gainDb) > 12)
  const axis = isTall ? evenAxis('dB', -18, 18, 6, true) : evenAxis('dB', -12, 12, 3, true)
  return (
    <>
      <div ref={frame} className="stage-graph">
        <Plot
          label="Response of the tone bands"
          x={FREQUENCY_AXIS}
          y={axis}
          heightPx={plotPx}
          onDoubleClick={add}
          ground={<StrandGround />}
          handles={
            <PlotMarks
              marks={bands.map((band, index) => ({
                x: band.frequencyHz,
                y: band.gainDb,
                shape: band.shape,
                isCut: band.gainDb < 0,
                colour: strandColourAt(band.frequencyHz),
                name: nameOfBand(band),
                valueText: `${BAND_NAMES[band.shape]}, ${formatFrequency(band.frequencyHz)}, ${formatGain(band.gainDb)}, Q ${formatNumber(band.q, 2)}`,
                isSelected: index === chosen,
                onSelect: () => setChosen(index),
                onRemove: () => remove(index),
                onMove: (x, y, isFine) =>
                  setBand(index, 'point', {
                    frequencyHz: snappedFrequency(x, isFine, BAND_BOUNDS.frequencyHz),
                    gainDb: tenth(within(y, BAND_BOUNDS.gainDb)),
                  }),
                onStep: (x, y) =>
                  setBand(index, 'point', {
                    frequencyHz:
                      x === 0
                        ? band.frequencyHz
                        : steppedFrequency(band.frequencyHz, x, BAND_BOUNDS.frequencyHz),
                    gainDb: tenth(within(band.gainDb + y * 0.5, BAND_BOUNDS.gainDb)),
                  }),
              }))}
            />
          }
        >
          {song === null ? null : (
            <VoiceSpectrum
              song={song}
              range={range}
              rowKey={row.key}
              index={place}
              fromDb={axis.from}
              toDb={axis.to}
            />
          )}
          {responses.slice(1).map((response, index) =>
            response === null ? null : (
              <PlotCurve
                // biome-ignore lint/suspicious/noArrayIndexKey: a band is its place in the list
                key={index}
                xs={RESPONSE_FREQUENCIES_HZ}
                ys={response}
                className={index === chosen ? 'plot-curve-part plot-curve-chosen' : 'plot-curve-part'}
              />
            ),
          )}
          {responses[0] == null ? null : <PlotCurve xs={RESPONSE_FREQUENCIES_HZ} ys={responses[0]} />}
        </Plot>
      </div>
      <BandList
        bands={bands}
        chosen={chosen}
        addButton={addButton}
        onChoose={setChosen}
        onChange={setBand}
        onRemove={remove}
        onAdd={addFree}
      />
    </>
  )
}

/** A shelf allows less Q than a bell. */
const withShelfQ = (band: Band): Band =>
  band.shape === 'bell' ? band : { ...band, q: Math.min(band.q, MAX_SHELF_Q) }

/** Height of the strip of strands along the bottom of the plot. */
const STRIP_PX = 4

/** The strands of the river along the frequency axis, as the key to the colours of the marks. */
function StrandGround() {
  const { x, left, right, bottom } = usePlotScale()
  let fromX = left
  return STRANDS.map(({ name, toHz }) => {
    const startX = fromX
    fromX = Math.min(right, Number.isFinite(toHz) ? x(toHz) : right)
    return (
      <rect
        key={name}
        x={startX}
        y={bottom - STRIP_PX}
        width={fromX - startX}
        height={STRIP_PX}
        fill={`var(--strand-${name})`}
      >
        <title>{name}</title>
      </rect>
    )
  })
}

/**
 * Focuses the mark of a band after the number of bands has changed, so that the arrow keys set it.
 * @returns a ref for an element around the plot, and a function that says which mark; -1 for the button
 */
function useMarkFocus(count: number, addButton: RefObject<HTMLButtonElement | null>) {
  const frame = useRef<HTMLDivElement>(null)
  const wanted = useRef<{ readonly index: number; readonly count: number } | null>(null)
  useEffect(() => {
    if (wanted.current === null || wanted.current.count === count) return
    const { index } = wanted.current
    wanted.current = null
    const mark = frame.current?.querySelectorAll<SVGGElement>('.plot-mark')[index]
    if (mark === undefined) addButton.current?.focus()
    else mark.focus()
  }, [count, addButton])
  const focusSoon = (index: number): void => {
    wanted.current = { index, count }
  }
  return [frame, focusSoon] as const
}
