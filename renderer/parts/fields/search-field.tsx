// A line to search with; Escape and its own button empty it.

import { SearchField as AriaSearchField, Button, Input, Label } from 'react-aria-components'
import { MAX_NAME } from '../../../app/contract/text/limits.ts'
import { keyActOf } from '../../keys/key-table.ts'
import { CloseSign } from '../signs.tsx'
import './field.css'

export interface SearchFieldProps {
  readonly label: string
  readonly isLabelHidden?: boolean
  readonly placeholder?: string
  /** Left out inside an `Autocomplete`, which keeps what is typed and goes through the list. */
  readonly typed?: {
    readonly text: string
    readonly onChange: (text: string) => void
    /** Down goes to what was found. */
    readonly onDown: () => void
  }
}

export const SearchField = ({ label, isLabelHidden = false, placeholder = '', typed }: SearchFieldProps) => (
  <AriaSearchField
    className="field search-field"
    autoFocus
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
    <Button className="button button-sign search-field-clear" aria-label="Empty the search">
      <CloseSign />
    </Button>
  </AriaSearchField>
)
