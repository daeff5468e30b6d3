// A frequency: arrow keys walk the preferred third-octave frequencies, a typed number is taken as typed.

import { formatFrequency } from '../../formats/format.ts'
import { stepPreferredFrequency } from '../../formats/preferred-frequencies.ts'
import { NumberField, type NumberFieldProps } from './number-field.tsx'

export type FrequencyFieldProps = Omit<
  NumberFieldProps,
  'unit' | 'format' | 'parse' | 'stepBy' | 'places' | 'step'
>

/** A number field in Hz; arrow keys step through the ISO 266 third octaves, with Shift through octaves. */
export const FrequencyField = (props: FrequencyFieldProps) => (
  <NumberField
    {...props}
    unit="Hz"
    format={formatFrequency}
    // Shift walks a whole octave, which is three of the steps.
    stepBy={(frequencyHz, steps) =>
      stepPreferredFrequency(frequencyHz, Math.abs(steps) === 10 ? Math.sign(steps) * 3 : steps)
    }
  />
)
