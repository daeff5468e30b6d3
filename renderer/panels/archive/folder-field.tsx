// A folder that is typed or chosen.

import { MAX_PATH } from '../../../app/contract/text/limits.ts'
import { Button } from '../../parts/button.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { bridge } from '../../state/connection.ts'
import './archive.css'

interface FolderFieldProps {
  readonly label: string
  readonly value: string
  readonly onChange: (folder: string) => void
  readonly description: string
  readonly autoFocus?: boolean
}

export function FolderField({ label, value, onChange, description, autoFocus = false }: FolderFieldProps) {
  const { chooseFolder } = bridge
  return (
    <div className="archive-folder">
      <TextField
        label={label}
        value={value}
        onChange={onChange}
        maxLength={MAX_PATH}
        autoFocus={autoFocus}
        description={description}
      />
      {chooseFolder === null ? null : (
        <Button
          aria-label={`Choose ${label.toLowerCase()}…`}
          onPress={() => void chooseFolder(value.trim()).then((chosen) => onChange(chosen ?? value))}
        >
          Choose…
        </Button>
      )}
    </div>
  )
}
