// Number fields: typed with or without a unit, stepped by arrow keys, never by the wheel.

import { type KeyboardEvent, type ReactNode, useEffect, useId, useRef, useState } from 'react'
import { formatNumber, withUnit } from '../../../app/words/format.ts'
import { parseTypedNumber, type Unit } from '../../formats/typed-number.ts'
import { type KeyActName, keyActOf } from '../../keys/key-table.ts'
import './field.css'

/** Range, unit and formatting of a number field. */
export interface NumberFieldProps {
  readonly label: string
  /** The label is read out but not shown. */
  readonly isLabelHidden?: boolean
  /** null shows an empty field; it needs `onClear`. */
  readonly value: number | null
  readonly unit: Unit
  readonly min: number
  readonly max: number
  /** Change per arrow key; Shift and Page Up/Down change by ten steps. */
  readonly step?: number
  /** Decimal places shown. */
  readonly places?: number
  /** Custom formatting, parsing and stepping: pan, frequencies, bars and beats. */
  readonly format?: (value: number) => string
  readonly parse?: (text: string) => number | null
  readonly stepBy?: (value: number, steps: number) => number
  /** Called with each new value, within `min` and `max`. */
  readonly onChange: (value: number) => void
  /** Called when the field is emptied. Without it, an emptied field keeps its value. */
  readonly onClear?: () => void
  /** What to type, for the error message, where a number in `unit` is not enough. */
  readonly example?: string
  /** A typed value outside `min` to `max` is refused and the old one stays, where a clamped one would be too much. */
  readonly isRangeRefused?: boolean
  readonly isDisabled?: boolean
  readonly placeholder?: string
  readonly description?: ReactNode
  readonly className?: string
}

const STEPS: Readonly<Partial<Record<KeyActName | '', number>>> = {
  stepUp: 1,
  stepDown: -1,
  leapUp: 10,
  leapDown: -10,
}

/** Name of the quantity in each unit, for the message about a number that cannot be parsed. */
const QUANTITIES: Readonly<Record<Unit, string>> = {
  dB: 'a level',
  dBFS: 'a level',
  dBTP: 'a level',
  LUFS: 'a loudness',
  Hz: 'a frequency',
  ms: 'a time',
  s: 'a time',
  '%': 'a percentage',
  ':1': 'a ratio',
  samples: 'a number of samples',
  BPM: 'a tempo',
  m: 'a distance',
  '': 'a number',
}

const clamp = (value: number, min: number, max: number): number => Math.min(max, Math.max(min, value))

/** A field for one number. Values outside `min` to `max` are clamped or refused, and a message says so. */
export function NumberField(props: NumberFieldProps) {
  const { label, value, unit, min, max, step = 1, places = 1, onChange } = props
  const format = props.format ?? ((number: number) => withUnit(formatNumber(number, places), unit))
  const parse = props.parse ?? ((text: string) => parseTypedNumber(text, unit))
  // Rounding removes floating-point error from sums of steps.
  const stepBy =
    props.stepBy ?? ((number: number, steps: number) => Number((number + steps * step).toFixed(6)))
  const shown = value === null ? '' : format(value)
  const [draft, setDraft] = useState<string | null>(null)
  const [complaint, setComplaint] = useState<string | null>(null)
  const input = useRef<HTMLInputElement>(null)
  const id = useId()

  // The wheel scrolls the page even while the field has the focus.
  useEffect(() => {
    const element = input.current
    const blurOnWheel = (): void => element?.blur()
    element?.addEventListener('wheel', blurOnWheel, { passive: true })
    return () => element?.removeEventListener('wheel', blurOnWheel)
  }, [])

  const forget = (): void => {
    setDraft(null)
    setComplaint(null)
  }

  const commit = (): boolean => {
    if (draft === null) return true
    if (draft.trim() === '') {
      forget()
      if (value !== null) props.onClear?.()
      return true
    }
    const number = parse(draft)
    if (number === null) {
      setComplaint(
        props.example === undefined
          ? `"${draft}" is not ${QUANTITIES[unit]}. Type a number${unit === '' ? '' : ` in ${unit}`}.`
          : `"${draft}" is not valid. Type ${props.example}.`,
      )
      return false
    }
    const within = clamp(number, min, max)
    if (props.isRangeRefused === true && within !== number) {
      setComplaint(`Type ${format(min)} to ${format(max)}. It stays at ${shown}.`)
      return false
    }
    setComplaint(
      number === within ? null : `The ${number < min ? 'minimum' : 'maximum'} is ${format(within)}.`,
    )
    setDraft(null)
    if (within !== value) onChange(within)
    return true
  }

  const move = (steps: number): void => {
    const typed = draft === null ? null : parse(draft)
    const from = typed ?? value ?? clamp(0, min, max)
    const next = clamp(stepBy(from, steps), min, max)
    forget()
    if (next !== value) onChange(next)
  }

  const onKeyDown = (event: KeyboardEvent<HTMLInputElement>): void => {
    const act = keyActOf(event, 'field')
    const steps = STEPS[act ?? '']
    if (steps !== undefined) {
      event.preventDefault()
      event.stopPropagation()
      move(steps)
    } else if (act === 'applyValue') {
      if (commit()) event.currentTarget.select()
      // Otherwise Enter would submit a form without the value, and the message would never be read.
      else event.preventDefault()
    } else if (act === 'cancelEdit' && draft !== null) {
      event.stopPropagation()
      forget()
    }
  }

  return (
    <div className={`field ${props.className ?? ''}`} data-disabled={props.isDisabled || undefined}>
      <label htmlFor={id} className={props.isLabelHidden ? 'visually-hidden' : 'field-label'}>
        {label}
      </label>
      <input
        ref={input}
        id={id}
        className="field-input number"
        type="text"
        inputMode="decimal"
        autoComplete="off"
        spellCheck={false}
        role="spinbutton"
        aria-valuenow={value ?? undefined}
        aria-valuetext={shown === '' ? 'none' : shown}
        aria-valuemin={Number.isFinite(min) ? min : undefined}
        aria-valuemax={Number.isFinite(max) ? max : undefined}
        aria-invalid={complaint !== null && draft !== null ? true : undefined}
        aria-describedby={complaint !== null || props.description ? `${id}-says` : undefined}
        disabled={props.isDisabled}
        data-draft={draft === null ? undefined : ''}
        placeholder={props.placeholder}
        value={draft ?? shown}
        onChange={(event) => {
          setDraft(event.target.value)
          setComplaint(null)
        }}
        onFocus={(event) => {
          setComplaint(null)
          event.target.select()
        }}
        onBlur={() => {
          // The message has been seen by now, so the rejected text is discarded.
          if (complaint !== null) forget()
          else if (!commit()) setDraft(null)
        }}
        onKeyDown={onKeyDown}
      />
      {complaint !== null ? (
        <div id={`${id}-says`} role="status" className="field-complaint">
          {complaint}
        </div>
      ) : (
        props.description && (
          <div id={`${id}-says`} className="field-description">
            {props.description}
          </div>
        )
      )}
    </div>
  )
}
