// Drop-down lists with one selected item. "None" is an item with its own text, and long lists have a
// search field.

import type { ReactNode } from 'react'
import {
  Select as AriaSelect,
  Autocomplete,
  Button,
  Label,
  ListBox,
  ListBoxItem,
  ListLayout,
  Popover,
  SelectValue,
  Virtualizer,
} from 'react-aria-components'
import { OpenSign } from '../signs.tsx'
import { isMeant } from './meant-item.ts'
import { SearchField } from './search-field.tsx'
import './field.css'

/** One choice; keys are unique in the list. */
export interface SelectItem<K extends string | number> {
  readonly key: K
  readonly name: string
  readonly detail?: string
}

export interface SelectProps<K extends string | number> {
  readonly label: string
  readonly isLabelHidden?: boolean
  readonly items: readonly SelectItem<K>[]
  /** null for no selection, which `none` shows as an item of its own. */
  readonly value: K | null
  readonly none?: string
  /** Several values at once: shows the placeholder although there is `none`. */
  readonly isMixed?: boolean
  readonly placeholder?: string
  /** A last item that opens a dialog instead of being selected, such as 'New mic…'. */
  readonly create?: { readonly name: string; readonly onCreate: () => void }
  readonly onChange: (key: K | null) => void
  readonly isDisabled?: boolean
  readonly autoFocus?: boolean
  readonly className?: string
}

const NONE = '\u2205'
const CREATE = '\uff0b'

/** Longer lists get a search field. */
const MOST_WITHOUT_SEARCH = 20
const LINE_PX = 33
const TWO_LINES_PX = 54

/** A drop-down list. `onChange` gets null when `none` is chosen. */
export function Select<K extends string | number>(props: SelectProps<K>) {
  const { none, create } = props
  const rows: readonly SelectItem<K | typeof NONE | typeof CREATE>[] = [
    ...(none === undefined ? [] : [{ key: NONE, name: none } as const]),
    ...props.items,
    ...(create === undefined ? [] : [{ key: CREATE, name: create.name } as const]),
  ]
  const choose = (key: string | number | null): void => {
    if (key === CREATE) create?.onCreate()
    else props.onChange(key === null || key === NONE ? null : (key as K))
  }
  return (
    <AriaSelect
      className={`field ${props.className ?? ''}`}
      {...(props.isLabelHidden ? { 'aria-label': props.label } : {})}
      placeholder={props.placeholder ?? 'Choose'}
      value={props.value ?? (none === undefined || props.isMixed ? null : NONE)}
      onChange={choose}
      isDisabled={props.isDisabled ?? false}
      autoFocus={props.autoFocus ?? false}
    >
      {props.isLabelHidden ? null : <Label className="field-label">{props.label}</Label>}
      <Button className="select-button">
        <SelectValue>
          {({ selectedText, isPlaceholder, defaultChildren }) =>
            isPlaceholder ? defaultChildren : <span title={selectedText}>{selectedText}</span>
          }
        </SelectValue>
        <OpenSign />
      </Button>
      <Popover className="popover">
        <Searched rows={rows}>
          <ListBox className="list-box" items={rows}>
            {(item) => (
              <ListBoxItem
                id={item.key}
                textValue={item.name}
                className={`list-item ${item.key === CREATE ? 'list-item-create' : ''}`}
              >
                {/* Not the slots for label and description: the name of an option is all of its text. */}
                <span>{item.name}</span>
                {item.detail === undefined ? null : <span className="list-item-detail">{item.detail}</span>}
              </ListBoxItem>
            )}
          </ListBox>
        </Searched>
      </Popover>
    </AriaSelect>
  )
}

type Rows = readonly SelectItem<string | number>[]

/** The list; a long one gets a search field and renders only its visible rows. */
function Searched({ rows, children }: { rows: Rows; children: ReactNode }) {
  if (rows.length <= MOST_WITHOUT_SEARCH) return children
  const rowHeight = rows.some(({ detail }) => detail !== undefined) ? TWO_LINES_PX : LINE_PX
  return (
    <Autocomplete<SelectItem<string | number>>
      filter={(_text, typed, node) => node.value === null || isMeant(node.value, typed)}
    >
      <div className="list-search">
        <SearchField label="Search the list" isLabelHidden placeholder="Search" />
      </div>
      <Virtualizer layout={ListLayout} layoutOptions={{ rowHeight }}>
        {children}
      </Virtualizer>
    </Autocomplete>
  )
}
