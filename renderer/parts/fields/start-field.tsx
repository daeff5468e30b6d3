// The time of day at which a song starts, which the time stamps of takes and stems count from.

import { START_OF_DAY_BOUNDS } from '../../formats/bounds.ts'
import { parseTimeOfDay } from '../../formats/time-of-day.ts'
import { formatTimeOfDay } from '../../formats/time-stamp.ts'
import { NumberField } from './number-field.tsx'

export interface StartFieldProps {
  /** Seconds since midnight. */
  readonly value: number
  readonly onChange: (startOfDayS: number) => void
}

/** Steps are minutes, long steps ten minutes. */
export const StartField = ({ value, onChange }: StartFieldProps) => (
  <NumberField
    label="Time stamp of bar 1"
    value={value}
    unit=""
    {...START_OF_DAY_BOUNDS}
    isRangeRefused
    format={formatTimeOfDay}
    parse={parseTimeOfDay}
    example="14:23:00"
    stepBy={(seconds, steps) => seconds + 60 * steps}
    onChange={onChange}
  />
)
