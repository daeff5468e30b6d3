// A name that is edited in place: Enter or leaving the field applies it, Escape cancels.

import { useState } from 'react'
import { MAX_NAME } from '../../../app/contract/text/limits.ts'
import { keyActOf } from '../../keys/key-table.ts'
import './inline-name.css'

export interface InlineNameProps {
  readonly label: string
  readonly value: string
  readonly onChange: (name: string) => void
  readonly className?: string
}

/** An editable name. `onChange` gets a trimmed name that is neither empty nor unchanged. */
export function InlineName({ label, value, onChange, className = '' }: InlineNameProps) {
  const [draft, setDraft] = useState<string | null>(null)
  const commit = (): void => {
    const name = draft?.trim() ?? ''
    setDraft(null)
    if (name !== '' && name !== value) onChange(name)
  }
  return (
    <input
      className={`inline-name ${className}`}
      aria-label={label}
      title={value}
      autoComplete="off"
      spellCheck={false}
      maxLength={MAX_NAME}
      value={draft ?? value}
      onChange={(event) => setDraft(event.target.value)}
      onBlur={commit}
      onKeyDown={(event) => {
        const act = keyActOf(event, 'text')
        if (act === 'applyName') event.currentTarget.blur()
        // Escape cancels the edit first, and closes a dialog only when nothing is being edited.
        if (act === 'cancelName' && draft !== null) {
          event.stopPropagation()
          setDraft(null)
        }
      }}
    />
  )
}
