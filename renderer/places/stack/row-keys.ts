// Keys of a layer's row. All rows are one Tab stop: arrows move between rows and from a row into its
// controls, and single keys act on the layer. Between rows, arrows also reach the heads of groups.

import type { KeyboardEvent } from 'react'
import type { Layer } from '../../../app/contract/entities.ts'
import { changeTogether, removeLayers, togetherWith } from '../../acts/stack-acts.ts'
import { LAYER_GAIN_BOUNDS } from '../../formats/bounds.ts'
import type { KeyActName } from '../../keys/key-table.ts'
import { isSteppedField } from '../../keys/key-target.ts'
import { neighbourOf } from '../../parts/focus-beside.ts'
import { toggleSolo } from '../../state/solo.ts'
import { chooseAll, chooseNone, chooseTo, toggleChosen } from './chosen/choosing.ts'

const GAIN_STEP_DB = 0.5

/** Controls of a row in the order of the screen. */
const CONTROLS = '.layer-head button:not([aria-hidden]), .layer-head input:not([aria-hidden]), .layer-wave'

const controlsOf = (row: Element): HTMLElement[] => [...row.querySelectorAll<HTMLElement>(CONTROLS)]

/** Takes the controls out of the Tab order, after each rendering; arrows reach them. */
export function makeOneTabStop(row: Element): void {
  for (const control of controlsOf(row)) control.tabIndex = -1
}

/** Whether an arrow moves the caret in a text instead of the focus. */
function movesCaret(target: EventTarget, isForward: boolean): boolean {
  if (!(target instanceof HTMLInputElement) || isSteppedField(target)) return false
  const { selectionStart, selectionEnd, value } = target
  if (selectionStart !== selectionEnd) return true
  return isForward ? selectionEnd !== value.length : selectionStart !== 0
}

const focusIn = (shown: HTMLElement, control: HTMLElement): void => {
  shown.scrollIntoView({ block: 'nearest', inline: 'nearest' })
  control.focus({ preventScroll: true })
}

/** Moves from a row or the head of a group to the row or head above or below. */
function moveLine(line: HTMLElement, step: 1 | -1): void {
  const lines = [...document.querySelectorAll<HTMLElement>('.group-head, .layer-row')]
  const next = lines[lines.indexOf(line) + step]
  if (next === undefined) return
  // An empty group cannot be folded.
  const stop = next.querySelector<HTMLElement>('.group-fold:enabled') ?? next.querySelector('.solo-button')
  focusIn(next, next.matches('.group-head') ? ((stop as HTMLElement | null) ?? next) : next)
}

/** From a row, moves to the line `step` lines on; from a control of it, to the same control of the next row. */
function moveRow(row: HTMLElement, step: 1 | -1): void {
  const place = controlsOf(row).indexOf(document.activeElement as HTMLElement)
  if (place === -1) {
    moveLine(row, step)
    return
  }
  const rows = [...document.querySelectorAll<HTMLElement>('.layer-row')]
  const next = rows[rows.indexOf(row) + step]
  if (next !== undefined) focusIn(next, controlsOf(next)[place] ?? next)
}

function moveControl(row: HTMLElement, step: 1 | -1): void {
  const controls = controlsOf(row)
  const place = controls.indexOf(document.activeElement as HTMLElement)
  if (place + step < 0) {
    row.focus()
    return
  }
  const next = controls[place + step]
  next?.focus()
  // The caret at the far end, so that the next arrow leaves the name again.
  if (step === 1 && next instanceof HTMLInputElement && !isSteppedField(next)) {
    next.setSelectionRange(next.value.length, next.value.length)
  }
}

const isText = (target: EventTarget): boolean => target instanceof HTMLInputElement

/** Handles an arrow pressed in the head of a group; fields with steps and buttons with lists keep theirs. */
export function onGroupHeadKey(event: KeyboardEvent<HTMLElement>, act: KeyActName | null): void {
  const head = event.currentTarget
  const { target } = event
  if (act === null || event.defaultPrevented || !(target instanceof HTMLElement)) return
  if (!head.contains(target) || target.matches('[role="spinbutton"], [aria-haspopup]')) return
  event.preventDefault()
  event.stopPropagation()
  moveLine(head, act === 'headAbove' ? -1 : 1)
}

/** Handles a key pressed in the row or in one of its controls. */
export function onRowKey(event: KeyboardEvent<HTMLElement>, act: KeyActName | null, layer: Layer): void {
  const row = event.currentTarget
  const { target } = event
  // A menu or list of the row is elsewhere in the document, and its keys are its own.
  if (!(target instanceof Node) || !row.contains(target) || event.defaultPrevented) return
  if (act === null || !handle(act, row, target, layer)) return
  event.preventDefault()
  event.stopPropagation()
}

/** @returns whether the key was for the row */
function handle(act: KeyActName, row: HTMLElement, target: EventTarget, layer: Layer): boolean {
  const isInRow = target === row
  const isInWave = target instanceof HTMLElement && target.matches('.layer-wave')
  switch (act) {
    case 'rowAbove':
    case 'rowBelow':
      // In a number field they step the value.
      if (isText(target)) return false
      if (isInRow) chooseNone()
      moveRow(row, act === 'rowAbove' ? -1 : 1)
      return true
    case 'rowNext':
    case 'rowPrevious':
      if (isInWave || movesCaret(target, act === 'rowNext')) return false
      moveControl(row, act === 'rowNext' ? 1 : -1)
      return true
    case 'rowOnAbove':
    case 'rowOnBelow':
    case 'chooseAbove':
    case 'chooseBelow': {
      if (!isInRow) return false
      const next = moveAlong(row, act === 'rowOnAbove' || act === 'chooseAbove' ? -1 : 1)
      const isChoosing = act === 'chooseAbove' || act === 'chooseBelow'
      if (isChoosing && next !== null) chooseTo({ id: Number(next.id.slice('layer-'.length)) }, layer.id)
      return true
    }
    case 'chooseAll':
      if (isText(target)) return false
      chooseAll()
      return true
    case 'rowLeave':
      if (isInRow) return chooseNone()
      row.focus()
      return true
    case 'rowName':
      if (!isInRow) return false
      row.querySelector<HTMLInputElement>('.layer-name')?.select()
      return true
    default:
      return !isText(target) && actOn(act, row, layer, isInWave)
  }
}

/** Moves from a row to the layer above or below, over heads of groups. @returns it; null at the end */
function moveAlong(row: HTMLElement, step: 1 | -1): HTMLElement | null {
  const rows = [...document.querySelectorAll<HTMLElement>('.layer-row')]
  const next = rows[rows.indexOf(row) + step] ?? null
  if (next !== null) focusIn(next, next)
  return next
}

function actOn(act: KeyActName, row: HTMLElement, layer: Layer, isInWave: boolean): boolean {
  switch (act) {
    case 'mute':
      void changeTogether(layer, { muted: !layer.muted }, layer.muted ? 'unmute' : 'mute')
      return true
    case 'polarity':
      void changeTogether(layer, { polarityInverted: !layer.polarityInverted }, 'polarity')
      return true
    case 'solo':
    case 'soloAlone':
      toggleSolo(
        'layer',
        togetherWith(layer).map(({ id }) => id),
        act === 'soloAlone',
      )
      return true
    case 'louder':
    case 'quieter': {
      const wanted = layer.gainDb + (act === 'louder' ? GAIN_STEP_DB : -GAIN_STEP_DB)
      const gainDb = Math.min(LAYER_GAIN_BOUNDS.max, Math.max(LAYER_GAIN_BOUNDS.min, wanted))
      if (gainDb !== layer.gainDb) void changeTogether(layer, { gainDb }, 'gain')
      return true
    }
    case 'choose':
      toggleChosen(layer, null)
      return true
    case 'removeRow':
      if (isInWave) return false
      removeWithFocus(row, layer)
      return true
    default:
      return false
  }
}

/** Removes a layer, with those that are chosen with it, and focuses a row beside it. */
export function removeWithFocus(row: HTMLElement | null, layer: Layer): void {
  const next = neighbourOf(row, '.layer-row:not([data-chosen])') ?? neighbourOf(row, '.layer-row')
  void removeLayers(togetherWith(layer)).then((isDone) => isDone && next?.focus())
}
