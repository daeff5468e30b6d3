// Tracing state: the open picture, its axis marks and the points on its line. Changes to marks
// and points can be undone.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { CurveRecord, TraceMark } from '../../../../app/contract/entities.ts'
import { Failure } from '../../../../app/contract/failure.ts'
import { formatFrequency } from '../../../../app/words/format.ts'
import { addCurve, changeCurve } from '../../../acts/mic-acts.ts'
import { attempt, messageOf } from '../../../state/notices.ts'
import { undoHistory } from '../../../state/undo.ts'
import type { CurveAbout } from '../curves/curve-fields.tsx'
import { changeMicsState, readMicsState } from '../curves/mics-state.ts'
import { followLine } from './follow-line.ts'
import { fetchPicture, keepPicture, loadPicture, type TracedPicture } from './load-picture.ts'
import { steadyLine, thinLine } from './thin-line.ts'
import { curveOfPlaces, placesOfCurve, type TraceAxes, type TracePlace, traceAxes } from './trace-axes.ts'

/** Axis marks in the order in which they are placed. */
export const MARK_NAMES = ['low frequency', 'high frequency', 'low level', 'high level'] as const

/** One of the four axis marks. */
export type MarkName = (typeof MARK_NAMES)[number]
interface PlacedMark extends TraceMark {
  readonly isPlaced: boolean
}

/** The four axis marks by name. */
export type Marks = Readonly<Record<MarkName, PlacedMark>>

/** True for marks in Hz, false for marks in dB. */
export const isFrequencyMark = (name: MarkName): boolean => name.endsWith('frequency')

/** The open picture and everything that can be edited on it. */
export interface TraceState {
  readonly picture: TracedPicture | null
  /** The saved curve whose trace is edited; null for a new curve. */
  readonly curve: CurveRecord | null
  readonly marks: Marks
  /** The mark that the next click places; null while clicks add to the line. */
  readonly activeMark: MarkName | null
  /** Points of the line, in ascending order of x. */
  readonly places: readonly TracePlace[]
  readonly selected: number | null
  readonly tool: 'follow' | 'set'
  readonly zoom: number
  readonly about: CurveAbout
  /** Message about the last action; empty for none. */
  readonly says: string
}

const unplaced = (value: number): PlacedMark => ({ x: 0, y: 0, value, isPlaced: false })
const EMPTY: TraceState = {
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

/** In pixels; points cannot be placed more precisely by hand. */
const THIN_PIXELS = 0.6
const AT_MARK_PIXELS = 6

const state = createStore<TraceState>()(() => EMPTY)

/** The current state; the component rerenders when it changes. */
export const useTraceState = (): TraceState => useStore(state)

/** The current state, outside of components. */
export const readTraceState = state.getState

/** Replaces the given fields without an undo step. */
export const changeTraceState = (changes: Partial<TraceState>): void => state.setState(changes)

/**
 * Changes marks or points as an undoable step. Changes with the same `mergeKey` within one gesture are
 * merged into one step.
 */
function editTrace(
  label: string,
  changes: Partial<Pick<TraceState, 'marks' | 'places' | 'selected' | 'activeMark' | 'says'>>,
  mergeKey?: string,
): void {
  const now = state.getState()
  const { picture } = now
  const before = Object.fromEntries(Object.keys(changes).map((key) => [key, now[key as keyof TraceState]]))
  const restore = async (values: Partial<TraceState>): Promise<void> => {
    // Another picture may be open by now; its points must not change.
    if (state.getState().picture === picture) changeTraceState(values)
  }
  changeTraceState(changes)
  void undoHistory.perform({
    label: `trace: ${label}`,
    ...(mergeKey === undefined ? {} : { mergeKey: `trace/${mergeKey}` }),
    redo: () => restore(changes),
    undo: () => restore(before),
  })
}

/** The axes, or the reason why there are none yet. */
export function readAxes(marks: Marks): { axes: TraceAxes | null; why: string } {
  const missing = MARK_NAMES.filter((name) => !marks[name].isPlaced)
  if (missing.length > 0) return { axes: null, why: `Not marked yet: ${missing.join(', ')}.` }
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

/** Replaces the whole state; undo restores it. Object URLs are never revoked, since undo needs them. */
function openState(label: string, changes: Partial<TraceState>): Promise<void> {
  const before = state.getState()
  const after = { ...EMPTY, ...changes }
  return undoHistory.perform({
    label,
    redo: async () => state.setState(after, true),
    undo: async () => state.setState(before, true),
  })
}

/** Opens a picture for a new curve. A failure is shown as a notice. */
export const openPicture = (file: File, about: Partial<CurveAbout>): Promise<void> =>
  attempt(`Could not open ${file.name} for tracing`, async () => {
    const picture = await loadPicture(file, file.name)
    await openState(`open ${file.name}`, {
      picture,
      about: { ...EMPTY.about, name: file.name.replace(/\.[^.]+$/, ''), ...about },
    })
  }).then(() => undefined)

/** Opens the picture of a traced curve with its marks and points. A failure is shown as a notice. */
export const retrace = (curve: CurveRecord): Promise<void> =>
  attempt(`Could not open the picture of ${curve.name}`, async () => {
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
    await openState(`edit the trace of ${curve.name}`, {
      picture,
      curve,
      marks,
      activeMark: null,
      tool: 'set',
      places: axes === null ? [] : placesOfCurve(curve.points, axes),
      about: curve,
    })
    changeMicsState({ view: 'trace' })
  }).then(() => undefined)

/** Closes the picture; undo opens it again. */
export const closePicture = (): Promise<void> => openState('close picture', {})

/** Places a mark and activates the next one that is not placed. */
export function placeMark(name: MarkName, at: TracePlace): void {
  const { marks } = state.getState()
  const next = { ...marks, [name]: { ...marks[name], ...at, isPlaced: true } }
  const missing = MARK_NAMES.find((one) => !next[one].isPlaced) ?? null
  editTrace(`place ${name}`, { marks: next, activeMark: missing })
}

/** Moves a placed mark and keeps its value. */
export function moveMark(name: MarkName, at: TracePlace): void {
  const { marks } = state.getState()
  editTrace(`move ${name}`, { marks: { ...marks, [name]: { ...marks[name], ...at } } }, name)
}

/** Sets the value of a mark, in Hz or dB. */
export function setMarkValue(name: MarkName, value: number): void {
  const { marks } = state.getState()
  editTrace(`value of ${name}`, { marks: { ...marks, [name]: { ...marks[name], value } } }, `${name} value`)
}

/** Follows the line from a position; points outside the followed range are kept. */
export function followFrom(at: TracePlace): void {
  const { picture, places } = state.getState()
  if (picture === null) return
  try {
    const line = followLine(picture.pixels, at)
    const found = thinLine(steadyLine(line.places), THIN_PIXELS)
    const from = found[0]!.x
    const to = found.at(-1)!.x
    const kept = places.filter(({ x }) => x < from - 1 || x > to + 1)
    const { axes } = readAxes(state.getState().marks)
    const hz = (x: number): string =>
      axes === null ? `pixel ${Math.round(x)}` : formatFrequency(Number(axes.frequencyHzAt(x).toPrecision(3)))
    const { marks } = state.getState()
    // The plot itself ends at the outer marks, so a line that is lost there is not reported.
    const isAtLeft = axes !== null && from < marks['low frequency'].x + AT_MARK_PIXELS
    const isAtRight = axes !== null && to > marks['high frequency'].x - AT_MARK_PIXELS
    const ends = [
      ...(line.isLostLeft && !isAtLeft ? [`left end at ${hz(from)}`] : []),
      ...(line.isLostRight && !isAtRight ? [`right end at ${hz(to)}`] : []),
    ]
    editTrace('follow line', {
      places: [...kept, ...found].sort((a, b) => a.x - b.x),
      selected: null,
      says:
        ends.length === 0
          ? `Line followed from ${hz(from)} to ${hz(to)}.`
          : `Line followed: ${ends.join(', ')}. If it continues, click on it beyond that point.`,
    })
  } catch (error) {
    changeTraceState({ says: messageOf(error) })
  }
}

/** Adds a point and selects it; a point in the same column is replaced. */
export function addPlace(at: TracePlace): void {
  const { places } = state.getState()
  // Two points in one column would give one frequency two levels.
  const next = [...places.filter(({ x }) => Math.abs(x - at.x) > 0.5), at].sort((a, b) => a.x - b.x)
  editTrace('add point', { places: next, selected: next.indexOf(at) })
}

/** Moves a point, but not past its neighbours. */
export function movePlace(index: number, at: TracePlace): void {
  const { places } = state.getState()
  const low = (places[index - 1]?.x ?? Number.NEGATIVE_INFINITY) + 0.5
  const high = (places[index + 1]?.x ?? Number.POSITIVE_INFINITY) - 0.5
  const moved = { x: Math.min(Math.max(at.x, low), high), y: at.y }
  editTrace(
    'move point',
    { places: places.map((place, i) => (i === index ? moved : place)), selected: index },
    `point ${index}`,
  )
}

/** Removes a point and selects its neighbour. */
export function removePlace(index: number): void {
  const { places } = state.getState()
  const next = places.filter((_, i) => i !== index)
  editTrace('remove point', {
    places: next,
    selected: next.length === 0 ? null : Math.min(index, next.length - 1),
  })
}

/** Removes all points. */
export const clearPlaces = (): void =>
  editTrace('remove all points', { places: [], selected: null, says: '' })

/** Saves the curve with its picture and shows it in the overlay. A failure is shown as a notice. */
export const saveTrace = (): Promise<void> =>
  attempt('Could not save the traced curve', async () => {
    const { picture, curve, marks, places, about } = state.getState()
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
    state.setState(EMPTY, true)
    const shownIds = readMicsState().shownIds ?? []
    changeMicsState({ view: 'curves', shownIds: [...shownIds.filter((id) => id !== made.id), made.id] })
  }).then(() => undefined)
