// Search fields; Escape and the button on the right clear them.

import { SearchField as AriaSearchField, Button, Input, Label } from 'react-aria-components'
import { MAX_NAME } from '../../../app/contract/text/limits.ts'
import { keyActOf } from '../../keys/key-table.ts'
import { CloseSign } from '../signs.tsx'
import './field.css'

export interface SearchFieldProps {
  readonly label: string
  readonly isLabelHidden?: boolean
  readonly placeholder?: string
  /** Whether it has the focus when it appears; it has by default. */
  readonly autoFocus?: boolean
  /** Omitted inside an `Autocomplete`, which manages the text and list navigation itself. */
  readonly typed?: {
    readonly text: string
    readonly onChange: (text: string) => void
    /** Called on Arrow Down, to move to the results. */
    readonly onDown: () => void
  }
}

/** A search field. */
export const SearchField = ({
  label,
  isLabelHidden = false,
  placeholder = '',
  autoFocus = true,
  typed,
}: SearchFieldProps) => (
  <AriaSearchField
    className="field search-field"
    autoFocus={autoFocus}
    maxLength={MAX_NAME}
    {...(isLabelHidden ? { 'aria-label': label } : {})}
    {...(typed === undefined
      ? {}
      : {
          value: typed.text,
          onChange: typed.onChange,
          onKeyDown: (event) => {
            if (keyActOf(event, 'text') === 'toResults') typed.onDown()
            else event.continuePropagation()
          },
        })}
  >
    {isLabelHidden ? null : <Label className="field-label">{label}</Label>}
    <Input className="field-input" placeholder={placeholder} spellCheck={false} />
    <Button className="button button-sign search-field-clear" aria-label="Clear search">
      <CloseSign />
    </Button>
  </AriaSearchField>
)
