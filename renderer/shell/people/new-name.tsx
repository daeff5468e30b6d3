// A field for the name of something new, with a button; Enter creates it as well.

import { useState } from 'react'
import { Button } from '../../parts/button.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'

export interface NewNameProps {
  /** 'New voice'; names the field and the button. */
  readonly label: string
  readonly onCreate: (name: string) => Promise<void>
}

export function NewName({ label, onCreate }: NewNameProps) {
  const [name, setName] = useState('')
  return (
    <form
      className="people-new"
      onSubmit={(event) => {
        event.preventDefault()
        if (name.trim() === '') return
        void onCreate(name.trim()).then(() => setName(''))
      }}
    >
      <TextField label={label} isLabelHidden placeholder={label} value={name} onChange={setName} />
      <Button type="submit" isDisabled={name.trim() === ''} aria-label={`Add: ${label}`}>
        Add
      </Button>
    </form>
  )
}
