// Frequency fields: arrow keys step through preferred frequencies, typed values are kept as typed.

import { formatFrequency } from '../../../app/words/format.ts'
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
    // Shift arrives as ten steps. It moves by an octave, which is three third octaves.
    stepBy={(frequencyHz, steps) =>
      stepPreferredFrequency(frequencyHz, Math.abs(steps) === 10 ? Math.sign(steps) * 3 : steps)
    }
  />
)
