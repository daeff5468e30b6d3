// Text fields.

import { TextField as AriaTextField, FieldError, Input, Label, Text, TextArea } from 'react-aria-components'
import { MAX_NAME } from '../../../app/contract/text/limits.ts'
import './field.css'

export interface TextFieldProps {
  readonly label: string
  readonly isLabelHidden?: boolean
  readonly value: string
  readonly onChange: (text: string) => void
  readonly onBlur?: () => void
  readonly isRequired?: boolean
  readonly isMultiline?: boolean
  readonly type?: 'text' | 'date'
  readonly placeholder?: string
  readonly description?: string
  readonly autoFocus?: boolean
  readonly maxLength?: number
  readonly className?: string
}

/** A text field of one line, or of several with `isMultiline`; `maxLength` defaults to `MAX_NAME`. */
export const TextField = (props: TextFieldProps) => (
  <AriaTextField
    className={`field ${props.className ?? ''}`}
    value={props.value}
    onChange={props.onChange}
    {...(props.onBlur === undefined ? {} : { onBlur: props.onBlur })}
    isRequired={props.isRequired ?? false}
    type={props.type ?? 'text'}
    autoFocus={props.autoFocus ?? false}
    maxLength={props.maxLength ?? MAX_NAME}
    autoComplete="off"
    {...(props.isLabelHidden ? { 'aria-label': props.label } : {})}
  >
    {props.isLabelHidden ? null : <Label className="field-label">{props.label}</Label>}
    {props.isMultiline ? (
      <TextArea className="field-input" placeholder={props.placeholder ?? ''} />
    ) : (
      <Input className="field-input" placeholder={props.placeholder ?? ''} />
    )}
    {props.description === undefined ? null : (
      <Text slot="description" className="field-description">
        {props.description}
      </Text>
    )}
    <FieldError className="field-complaint" />
  </AriaTextField>
)
