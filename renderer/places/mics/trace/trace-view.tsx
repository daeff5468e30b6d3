// Tracing: a picture of a data sheet's plot becomes a curve.

import { useEffect, useRef } from 'react'
import { FileTrigger } from 'react-aria-components'
import type { Mic } from '../../../../app/contract/entities.ts'
import { CURVE_BOUNDS } from '../../../formats/bounds.ts'
import { countOf, formatFrequency } from '../../../formats/format.ts'
import { Button } from '../../../parts/button.tsx'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { useFileDrop } from '../../../parts/use-file-drop.ts'
import { remark } from '../../../state/notices.ts'
import { CurveFields } from '../curve-fields.tsx'
import { signed } from '../curve-plot.tsx'
import type { TracedPicture } from './load-picture.ts'
import type { TraceAxes } from './trace-axes.ts'
import {
  changeTraceDesk,
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
  type TraceDesk,
  useTraceDesk,
} from './trace-desk.ts'
import { stepZoom, TraceSheet, ZOOMS } from './trace-sheet.tsx'

const PICTURE_TYPES = ['image/png', 'image/jpeg', 'image/webp']

export function TraceView({ mics }: { mics: readonly Mic[] }) {
  const desk = useTraceDesk()
  const open = (files: readonly File[]): void => {
    const [file, ...others] = files
    if (file === undefined) return
    if (others.length > 0) remark('One picture at a time', `${file.name} is traced; drop the others later.`)
    const mic = mics[0]
    void openPicture(file, mic === undefined ? {} : { micId: mic.id, pattern: mic.pattern })
  }
  const drop = useFileDrop(open)
  if (desk.picture === null) {
    return (
      <div className="trace-empty" {...drop}>
        <h2>Trace a curve from a picture</h2>
        <p>
          Drop a picture of a data sheet’s plot here: PNG, JPEG or WebP, upright, with the frequency axis on a
          log scale. You mark two points on each axis, then click on the line and it is followed by its
          colour.
        </p>
        <FileTrigger
          acceptedFileTypes={PICTURE_TYPES}
          onSelect={(files) => open(files === null ? [] : [...files])}
        >
          <Button look="main">Choose a picture</Button>
        </FileTrigger>
        <p className="soft">The picture is kept with the curve, so that the trace can be corrected later.</p>
      </div>
    )
  }
  return (
    <div className="trace-view" {...drop}>
      <TraceTools desk={desk} picture={desk.picture} />
      <TraceSheet desk={desk} picture={desk.picture} />
      <TraceSide desk={desk} mics={mics} />
    </div>
  )
}

function TraceTools({ desk, picture }: { desk: TraceDesk; picture: TracedPicture }) {
  const { zoom } = desk
  const tools = useRef<HTMLDivElement>(null)
  const { width } = picture.pixels
  const fit = (): void => {
    const frame = tools.current?.parentElement?.querySelector('.trace-frame')
    if (frame != null) changeTraceDesk({ zoom: Math.min(1, frame.clientWidth / width) })
  }
  // A new picture is seen whole in its width first.
  // biome-ignore lint/correctness/useExhaustiveDependencies: once for each picture
  useEffect(fit, [picture])
  return (
    <div className="trace-tools" ref={tools}>
      <span className="trace-file" title={picture.fileName}>
        {picture.fileName}
      </span>
      <span className="soft">
        {picture.pixels.width} by {picture.pixels.height}
      </span>
      <span className="trace-tools-space" />
      <Button
        aria-label="Smaller"
        isDisabled={zoom <= ZOOMS[0]}
        onPress={() => changeTraceDesk({ zoom: stepZoom(zoom, -1) })}
      >
        −
      </Button>
      <span className="number trace-zoom">{Math.round(zoom * 100)} %</span>
      <Button
        aria-label="Larger"
        isDisabled={zoom >= ZOOMS.at(-1)!}
        onPress={() => changeTraceDesk({ zoom: stepZoom(zoom, 1) })}
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

function TraceSide({ desk, mics }: { desk: TraceDesk; mics: readonly Mic[] }) {
  const { marks, activeMark, places, tool, says, about, curve } = desk
  const { axes, why } = readAxes(marks)
  return (
    <div className="trace-side">
      <section aria-label="Axes">
        <h3>Axes</h3>
        <p className="soft trace-hint" role="status">
          {activeMark !== null
            ? `Click on the picture where the axis says the ${activeMark} below.`
            : axes === null
              ? why
              : 'Marked. Drag a mark to correct it.'}
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
                  changeTraceDesk({ activeMark: activeMark === name ? null : name, selected: null })
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
        <fieldset className="trace-choice" aria-label="What a click does">
          <Button
            aria-pressed={tool === 'follow'}
            className={tool === 'follow' ? 'button-chosen' : ''}
            onPress={() => changeTraceDesk({ tool: 'follow', activeMark: null })}
          >
            Follow the line
          </Button>
          <Button
            aria-pressed={tool === 'set'}
            className={tool === 'set' ? 'button-chosen' : ''}
            onPress={() => changeTraceDesk({ tool: 'set', activeMark: null })}
          >
            Set points
          </Button>
        </fieldset>
        <p className="soft trace-hint" role="status">
          {says !== ''
            ? says
            : tool === 'follow'
              ? 'Click on the line where it stands clear of others.'
              : 'Click along the line; drag a point to correct it.'}
        </p>
        <ChosenPoint desk={desk} axes={axes} />
      </section>
      <section aria-label="Keep">
        <h3>{curve === null ? 'Keep as' : 'Keep in place of the old trace'}</h3>
        <CurveFields
          about={about}
          onChange={(changes) => changeTraceDesk({ about: { ...about, ...changes } })}
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

function ChosenPoint({ desk, axes }: { desk: TraceDesk; axes: TraceAxes | null }) {
  const { places, selected } = desk
  if (places.length === 0) return null
  const point = selected === null ? undefined : places[selected]
  const ends =
    axes === null
      ? ''
      : ` from ${formatFrequency(Number(axes.frequencyHzAt(places[0]!.x).toPrecision(3)))} to ${formatFrequency(Number(axes.frequencyHzAt(places.at(-1)!.x).toPrecision(3)))}`
  const step = (by: 1 | -1): void =>
    changeTraceDesk({
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
        <Button aria-label="The point before" onPress={() => step(-1)}>
          ‹
        </Button>
        <span className="number">{selected === null ? 'no point chosen' : `point ${selected + 1}`}</span>
        <Button aria-label="The next point" onPress={() => step(1)}>
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
