// Tracing: turns the picture of a data sheet plot into a curve.

import { useEffect, useRef } from 'react'
import { FileTrigger } from 'react-aria-components'
import type { Mic } from '../../../../app/contract/entities.ts'
import { formatFrequency } from '../../../../app/words/format.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { CURVE_BOUNDS } from '../../../formats/bounds.ts'
import { Button } from '../../../parts/button.tsx'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { useFileDrop } from '../../../parts/use-file-drop.ts'
import { remark } from '../../../state/notices.ts'
import { CurveFields } from '../curves/curve-fields.tsx'
import { signed } from '../curves/curve-plot.tsx'
import type { TracedPicture } from './load-picture.ts'
import type { TraceAxes } from './trace-axes.ts'
import { stepZoom, TraceSheet, ZOOMS } from './trace-sheet.tsx'
import {
  changeTraceState,
  clearPlaces,
  closePicture,
  isFrequencyMark,
  MARK_NAMES,
  movePlace,
  openPicture,
  readAxes,
  removePlace,
  saveTrace,
  setMarkValue,
  type TraceState,
  useTraceState,
} from './trace-state.ts'

const PICTURE_TYPES = ['image/png', 'image/jpeg', 'image/webp']

/** The Trace tab: asks for a picture, then shows it with tools and fields. */
export function TraceView({ mics }: { mics: readonly Mic[] }) {
  const state = useTraceState()
  const open = (files: readonly File[]): void => {
    const [file, ...others] = files
    if (file === undefined) return
    if (others.length > 0) remark('One picture at a time', `Tracing ${file.name}. Drop the others later.`)
    const mic = mics[0]
    void openPicture(file, mic === undefined ? {} : { micId: mic.id, pattern: mic.pattern })
  }
  const drop = useFileDrop(open)
  if (state.picture === null) {
    return (
      <div className="trace-empty" {...drop}>
        <h2>Trace a curve from a picture</h2>
        <p>
          Drop a picture of a data sheet plot here: PNG, JPEG or WebP, upright, with a log frequency axis.
          Mark two points on each axis, then click on the line to trace it by its colour.
        </p>
        <FileTrigger
          acceptedFileTypes={PICTURE_TYPES}
          onSelect={(files) => open(files === null ? [] : [...files])}
        >
          <Button look="main">Choose picture…</Button>
        </FileTrigger>
        <p className="soft">The picture is saved with the curve, so you can edit the trace later.</p>
      </div>
    )
  }
  return (
    <div className="trace-view" {...drop}>
      <TraceTools state={state} picture={state.picture} />
      <TraceSheet state={state} picture={state.picture} />
      <TraceSide state={state} mics={mics} />
    </div>
  )
}

function TraceTools({ state, picture }: { state: TraceState; picture: TracedPicture }) {
  const { zoom } = state
  const tools = useRef<HTMLDivElement>(null)
  const { width } = picture.pixels
  const fit = (): void => {
    const frame = tools.current?.parentElement?.querySelector('.trace-frame')
    if (frame != null) changeTraceState({ zoom: Math.min(1, frame.clientWidth / width) })
  }
  // A new picture starts fitted to the width.
  // biome-ignore lint/correctness/useExhaustiveDependencies: once for each picture
  useEffect(fit, [picture])
  return (
    <div className="trace-tools" ref={tools}>
      <span className="trace-file" title={picture.fileName}>
        {picture.fileName}
      </span>
      <span className="soft">
        {picture.pixels.width} × {picture.pixels.height} px
      </span>
      <span className="trace-tools-space" />
      <Button
        aria-label="Zoom out"
        isDisabled={zoom <= ZOOMS[0]}
        onPress={() => changeTraceState({ zoom: stepZoom(zoom, -1) })}
      >
        −
      </Button>
      <span className="number trace-zoom">{Math.round(zoom * 100)} %</span>
      <Button
        aria-label="Zoom in"
        isDisabled={zoom >= ZOOMS.at(-1)!}
        onPress={() => changeTraceState({ zoom: stepZoom(zoom, 1) })}
      >
        +
      </Button>
      <Button onPress={fit}>Fit</Button>
      <Button look="plain" onPress={() => void closePicture()}>
        Close picture
      </Button>
    </div>
  )
}

function TraceSide({ state, mics }: { state: TraceState; mics: readonly Mic[] }) {
  const { marks, activeMark, places, tool, says, about, curve } = state
  const { axes, why } = readAxes(marks)
  return (
    <div className="trace-side">
      <section aria-label="Axes">
        <h3>Axes</h3>
        <p className="soft trace-hint" role="status">
          {activeMark !== null
            ? `Click on the picture at the ${activeMark} entered below.`
            : axes === null
              ? why
              : 'Axes set. Drag a mark to adjust it.'}
        </p>
        <div className="trace-marks">
          {MARK_NAMES.map((name) => (
            <div key={name} className="trace-mark-row" data-active={activeMark === name || undefined}>
              <NumberField
                label={`${name.charAt(0).toUpperCase()}${name.slice(1)}`}
                value={marks[name].value}
                unit={isFrequencyMark(name) ? 'Hz' : 'dB'}
                {...(isFrequencyMark(name) ? CURVE_BOUNDS.frequencyHz : CURVE_BOUNDS.levelDb)}
                places={isFrequencyMark(name) ? 0 : 1}
                {...(isFrequencyMark(name) ? { format: formatFrequency } : {})}
                onChange={(value) => setMarkValue(name, value)}
              />
              <Button
                aria-pressed={activeMark === name}
                aria-label={`${marks[name].isPlaced ? 'Place again' : 'Place'}: ${name}`}
                onPress={() =>
                  changeTraceState({ activeMark: activeMark === name ? null : name, selected: null })
                }
              >
                {activeMark === name ? 'Click' : marks[name].isPlaced ? 'Again' : 'Place'}
              </Button>
            </div>
          ))}
        </div>
      </section>
      <section aria-label="Line">
        <h3>Line</h3>
        <fieldset className="trace-choice" aria-label="Click action">
          <Button
            aria-pressed={tool === 'follow'}
            className={tool === 'follow' ? 'button-chosen' : ''}
            onPress={() => changeTraceState({ tool: 'follow', activeMark: null })}
          >
            Follow line
          </Button>
          <Button
            aria-pressed={tool === 'set'}
            className={tool === 'set' ? 'button-chosen' : ''}
            onPress={() => changeTraceState({ tool: 'set', activeMark: null })}
          >
            Add points
          </Button>
        </fieldset>
        <p className="soft trace-hint" role="status">
          {says !== ''
            ? says
            : tool === 'follow'
              ? 'Click on the line where no other line is close.'
              : 'Click along the line to add points. Drag a point to move it.'}
        </p>
        <ChosenPoint state={state} axes={axes} />
      </section>
      <section aria-label="Save">
        <h3>{curve === null ? 'Save as' : 'Replace the old trace'}</h3>
        <CurveFields
          about={about}
          onChange={(changes) => changeTraceState({ about: { ...about, ...changes } })}
          mics={mics}
          isMicFixed={curve !== null}
          isNarrow
        />
        <Button
          look="main"
          className="trace-save"
          isDisabled={axes === null || places.length < 3 || about.name.trim() === ''}
          onPress={() => void saveTrace()}
        >
          Save curve
        </Button>
      </section>
    </div>
  )
}

function ChosenPoint({ state, axes }: { state: TraceState; axes: TraceAxes | null }) {
  const { places, selected } = state
  if (places.length === 0) return null
  const point = selected === null ? undefined : places[selected]
  const ends =
    axes === null
      ? ''
      : ` from ${formatFrequency(Number(axes.frequencyHzAt(places[0]!.x).toPrecision(3)))} to ${formatFrequency(Number(axes.frequencyHzAt(places.at(-1)!.x).toPrecision(3)))}`
  const step = (by: 1 | -1): void =>
    changeTraceState({
      activeMark: null,
      selected: Math.min(places.length - 1, Math.max(0, (selected ?? (by > 0 ? -1 : places.length)) + by)),
    })
  return (
    <>
      <p className="trace-count">
        {countOf(places.length, 'point')}
        {ends}
      </p>
      <div className="trace-point-acts">
        <Button aria-label="Previous point" onPress={() => step(-1)}>
          ‹
        </Button>
        <span className="number">{selected === null ? 'no point selected' : `point ${selected + 1}`}</span>
        <Button aria-label="Next point" onPress={() => step(1)}>
          ›
        </Button>
        <Button
          look="plain"
          isDisabled={selected === null}
          onPress={() => {
            if (selected !== null) removePlace(selected)
          }}
        >
          Remove
        </Button>
        <Button look="plain" onPress={clearPlaces}>
          Remove all
        </Button>
      </div>
      {axes === null || point === undefined || selected === null ? null : (
        <div className="trace-point-fields">
          <NumberField
            label="Frequency"
            value={axes.frequencyHzAt(point.x)}
            unit="Hz"
            {...CURVE_BOUNDS.frequencyHz}
            format={(frequencyHz) => formatFrequency(Number(frequencyHz.toPrecision(4)))}
            stepBy={(frequencyHz, steps) => frequencyHz * 2 ** (steps / 48)}
            onChange={(frequencyHz) => movePlace(selected, { x: axes.xOf(frequencyHz), y: point.y })}
          />
          <NumberField
            label="Level"
            value={axes.levelDbAt(point.y)}
            unit="dB"
            {...CURVE_BOUNDS.levelDb}
            step={0.1}
            places={2}
            format={(levelDb) => `${signed(levelDb, 2)}\u202fdB`}
            onChange={(levelDb) => movePlace(selected, { x: point.x, y: axes.yOf(levelDb) })}
          />
        </div>
      )}
    </>
  )
}
