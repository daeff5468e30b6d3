// The picture on the table: its marks, the points on its line, and what is being done with
// them. Marks and points go through the window's undo history.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { CurveRecord, TraceMark } from '../../../../app/contract/entities.ts'
import { Failure } from '../../../../app/contract/failure.ts'
import { addCurve, changeCurve } from '../../../acts/mic-acts.ts'
import { formatFrequency } from '../../../formats/format.ts'
import { attempt, messageOf } from '../../../state/notices.ts'
import { undoHistory } from '../../../state/undo.ts'
import type { CurveAbout } from '../curve-fields.tsx'
import { changeMicsDesk, readMicsDesk } from '../mics-desk.ts'
import { followLine } from './follow-line.ts'
import { fetchPicture, keepPicture, loadPicture, type TracedPicture } from './load-picture.ts'
import { steadyLine, thinLine } from './thin-line.ts'
import { curveOfPlaces, placesOfCurve, type TraceAxes, type TracePlace, traceAxes } from './trace-axes.ts'

export const MARK_NAMES = ['low frequency', 'high frequency', 'low level', 'high level'] as const
export type MarkName = (typeof MARK_NAMES)[number]
export interface PlacedMark extends TraceMark {
  readonly isPlaced: boolean
}
export type Marks = Readonly<Record<MarkName, PlacedMark>>

export const isFrequencyMark = (name: MarkName): boolean => name.endsWith('frequency')

export interface TraceDesk {
  readonly picture: TracedPicture | null
  /** A curve that is being corrected; null: a new one. */
  readonly curve: CurveRecord | null
  readonly marks: Marks
  /** The mark that the next click sets; null: clicks go to the line. */
  readonly activeMark: MarkName | null
  /** Ascending in x. */
  readonly places: readonly TracePlace[]
  readonly selected: number | null
  readonly tool: 'follow' | 'set'
  readonly zoom: number
  readonly about: CurveAbout
  /** What the last act has to say. */
  readonly says: string
}

const unplaced = (value: number): PlacedMark => ({ x: 0, y: 0, value, isPlaced: false })
const EMPTY: TraceDesk = {
  picture: null,
  curve: null,
  marks: {
    'low frequency': unplaced(20),
    'high frequency': unplaced(20_000),
    'low level': unplaced(-20),
    'high level': unplaced(10),
  },
  activeMark: 'low frequency',
  places: [],
  selected: null,
  tool: 'follow',
  zoom: 1,
  about: { micId: null, name: '', source: 'traced picture', pattern: 'unknown', distanceM: null, note: '' },
  says: '',
}
/** Of a pixel: what no person could set better by hand. */
const THIN_PIXELS = 0.6
const AT_MARK_PIXELS = 6

const desk = createStore<TraceDesk>()(() => EMPTY)
export const useTraceDesk = (): TraceDesk => useStore(desk)
export const readTraceDesk = desk.getState
export const changeTraceDesk = (changes: Partial<TraceDesk>): void => desk.setState(changes)

/** One undoable change to marks or points; changes with one key in one gesture are one step back. */
export function editTrace(
  label: string,
  changes: Partial<Pick<TraceDesk, 'marks' | 'places' | 'selected' | 'activeMark' | 'says'>>,
  mergeKey?: string,
): void {
  const now = desk.getState()
  const { picture } = now
  const before = Object.fromEntries(Object.keys(changes).map((key) => [key, now[key as keyof TraceDesk]]))
  const put = async (values: Partial<TraceDesk>): Promise<void> => {
    // Another picture has been laid out since: its points are its own.
    if (desk.getState().picture === picture) changeTraceDesk(values)
  }
  changeTraceDesk(changes)
  void undoHistory.perform({
    label: `trace: ${label}`,
    ...(mergeKey === undefined ? {} : { mergeKey: `trace/${mergeKey}` }),
    redo: () => put(changes),
    undo: () => put(before),
  })
}

/** The axes as marked, or why there are none yet. */
export function readAxes(marks: Marks): { axes: TraceAxes | null; why: string } {
  const missing = MARK_NAMES.filter((name) => !marks[name].isPlaced)
  if (missing.length > 0) return { axes: null, why: `Still to mark: ${missing.join(', ')}.` }
  try {
    const axes = traceAxes(
      [marks['low frequency'], marks['high frequency']],
      [marks['low level'], marks['high level']],
    )
    return { axes, why: '' }
  } catch (error) {
    if (!(error instanceof Failure)) throw error
    return { axes: null, why: error.message }
  }
}

/** Another table, with the way back to what was on it; that is why no picture's address is given up. */
function layOut(label: string, changes: Partial<TraceDesk>): Promise<void> {
  const before = desk.getState()
  const after = { ...EMPTY, ...changes }
  return undoHistory.perform({
    label,
    redo: async () => desk.setState(after, true),
    undo: async () => desk.setState(before, true),
  })
}

/** Lays a picture on the table. */
export const openPicture = (file: File, about: Partial<CurveAbout>): Promise<void> =>
  attempt(`${file.name} cannot be traced`, async () => {
    const picture = await loadPicture(file, file.name)
    await layOut(`open ${file.name}`, {
      picture,
      about: { ...EMPTY.about, name: file.name.replace(/\.[^.]+$/, ''), ...about },
    })
  }).then(() => undefined)

/** Lays out the picture of a curve that was traced before, with its marks and points. */
export const retrace = (curve: CurveRecord): Promise<void> =>
  attempt(`The picture of ${curve.name} cannot be opened`, async () => {
    const kept = curve.picture
    if (kept === null) return
    const picture = await fetchPicture(kept.sha256, kept.fileName)
    const placed = (mark: TraceMark): PlacedMark => ({ ...mark, isPlaced: true })
    const marks: Marks = {
      'low frequency': placed(kept.frequencyMarks[0]),
      'high frequency': placed(kept.frequencyMarks[1]),
      'low level': placed(kept.levelMarks[0]),
      'high level': placed(kept.levelMarks[1]),
    }
    const { axes } = readAxes(marks)
    await layOut(`correct the trace of ${curve.name}`, {
      picture,
      curve,
      marks,
      activeMark: null,
      tool: 'set',
      places: axes === null ? [] : placesOfCurve(curve.points, axes),
      about: curve,
    })
    changeMicsDesk({ view: 'trace' })
  }).then(() => undefined)

export const closePicture = (): Promise<void> => layOut('close the picture', {})

/** Puts a mark where it was clicked, and goes on to the next that has no place yet. */
export function placeMark(name: MarkName, at: TracePlace): void {
  const { marks } = desk.getState()
  const next = { ...marks, [name]: { ...marks[name], ...at, isPlaced: true } }
  const missing = MARK_NAMES.find((one) => !next[one].isPlaced) ?? null
  editTrace(`place the ${name}`, { marks: next, activeMark: missing })
}

/** Moves a mark that is placed; the value it stands for stays. */
export function moveMark(name: MarkName, at: TracePlace): void {
  const { marks } = desk.getState()
  editTrace(`move the ${name}`, { marks: { ...marks, [name]: { ...marks[name], ...at } } }, name)
}

export function setMarkValue(name: MarkName, value: number): void {
  const { marks } = desk.getState()
  editTrace(
    `value of the ${name}`,
    { marks: { ...marks, [name]: { ...marks[name], value } } },
    `${name} value`,
  )
}

/** Lets the line be followed from a place; what is there beside it stays. */
export function followFrom(at: TracePlace): void {
  const { picture, places } = desk.getState()
  if (picture === null) return
  try {
    const line = followLine(picture.pixels, at)
    const found = thinLine(steadyLine(line.places), THIN_PIXELS)
    const from = found[0]!.x
    const to = found.at(-1)!.x
    const kept = places.filter(({ x }) => x < from - 1 || x > to + 1)
    const { axes } = readAxes(desk.getState().marks)
    const hz = (x: number): string =>
      axes === null ? `pixel ${Math.round(x)}` : formatFrequency(Number(axes.frequencyHzAt(x).toPrecision(3)))
    const { marks } = desk.getState()
    // At the outer marks the plot itself ends.
    const isAtLeft = axes !== null && from < marks['low frequency'].x + AT_MARK_PIXELS
    const isAtRight = axes !== null && to > marks['high frequency'].x - AT_MARK_PIXELS
    const ends = [
      ...(line.isLostLeft && !isAtLeft ? [`to the left it ends at ${hz(from)}`] : []),
      ...(line.isLostRight && !isAtRight ? [`to the right it ends at ${hz(to)}`] : []),
    ]
    editTrace('follow the line', {
      places: [...kept, ...found].sort((a, b) => a.x - b.x),
      selected: null,
      says:
        ends.length === 0
          ? `The line was followed from ${hz(from)} to ${hz(to)}.`
          : `The line was followed: ${ends.join(', ')}. If it goes on there, click on it beyond.`,
    })
  } catch (error) {
    changeTraceDesk({ says: messageOf(error) })
  }
}

export function addPlace(at: TracePlace): void {
  const { places } = desk.getState()
  // Two points in one column would be one frequency with two levels.
  const next = [...places.filter(({ x }) => Math.abs(x - at.x) > 0.5), at].sort((a, b) => a.x - b.x)
  editTrace('set a point', { places: next, selected: next.indexOf(at) })
}

/** Moves a point, between its neighbours. */
export function movePlace(index: number, at: TracePlace): void {
  const { places } = desk.getState()
  const low = (places[index - 1]?.x ?? Number.NEGATIVE_INFINITY) + 0.5
  const high = (places[index + 1]?.x ?? Number.POSITIVE_INFINITY) - 0.5
  const moved = { x: Math.min(Math.max(at.x, low), high), y: at.y }
  editTrace(
    'move a point',
    { places: places.map((place, i) => (i === index ? moved : place)), selected: index },
    `point ${index}`,
  )
}

export function removePlace(index: number): void {
  const { places } = desk.getState()
  const next = places.filter((_, i) => i !== index)
  editTrace('remove a point', {
    places: next,
    selected: next.length === 0 ? null : Math.min(index, next.length - 1),
  })
}

export const clearPlaces = (): void =>
  editTrace('remove all points', { places: [], selected: null, says: '' })

/** Keeps the curve with its picture. */
export const saveTrace = (): Promise<void> =>
  attempt('The traced curve was not saved', async () => {
    const { picture, curve, marks, places, about } = desk.getState()
    const { axes, why } = readAxes(marks)
    if (picture === null) return
    if (axes === null) throw new Failure('invalid-input', why)
    const points = curveOfPlaces(places, axes)
    const bare = ({ x, y, value }: PlacedMark): TraceMark => ({ x, y, value })
    const kept = {
      sha256: await keepPicture(picture),
      fileName: picture.fileName,
      frequencyMarks: [bare(marks['low frequency']), bare(marks['high frequency'])] as [TraceMark, TraceMark],
      levelMarks: [bare(marks['low level']), bare(marks['high level'])] as [TraceMark, TraceMark],
    }
    const { name, source, pattern, distanceM, note, micId } = about
    const fields = { name, source, pattern, distanceM, note, points, picture: kept }
    const made =
      curve === null
        ? await addCurve({ ...fields, micId })
        : (await changeCurve(curve, fields))
          ? curve
          : null
    if (made === null) return
    desk.setState(EMPTY, true)
    const shownIds = readMicsDesk().shownIds ?? []
    changeMicsDesk({ view: 'curves', shownIds: [...shownIds.filter((id) => id !== made.id), made.id] })
  }).then(() => undefined)
