// A choice of one from a list. Where none is a choice too, it is an item with its own words.

import {
  Select as AriaSelect,
  Button,
  Label,
  ListBox,
  ListBoxItem,
  Popover,
  SelectValue,
  Text,
} from 'react-aria-components'
import { OpenSign } from './signs.tsx'
import './field.css'

export interface SelectItem<K extends string | number> {
  readonly key: K
  readonly name: string
  readonly detail?: string
}

export interface SelectProps<K extends string | number> {
  readonly label: string
  readonly isLabelHidden?: boolean
  readonly items: readonly SelectItem<K>[]
  /** null where nothing is chosen; `none` names that choice and offers it. */
  readonly value: K | null
  readonly none?: string
  readonly placeholder?: string
  readonly onChange: (key: K | null) => void
  readonly isDisabled?: boolean
  readonly className?: string
}

const NONE = '\u2205'

export function Select<K extends string | number>(props: SelectProps<K>) {
  const rows: readonly SelectItem<K | typeof NONE>[] =
    props.none === undefined ? props.items : [{ key: NONE, name: props.none }, ...props.items]
  return (
    <AriaSelect
      className={`field ${props.className ?? ''}`}
      {...(props.isLabelHidden ? { 'aria-label': props.label } : {})}
      placeholder={props.placeholder ?? 'Choose'}
      value={props.value ?? (props.none === undefined ? null : NONE)}
      onChange={(key) => props.onChange(key === null || key === NONE ? null : (key as K))}
      isDisabled={props.isDisabled ?? false}
    >
      {props.isLabelHidden ? null : <Label className="field-label">{props.label}</Label>}
      <Button className="select-button">
        <SelectValue>
          {({ selectedText, isPlaceholder, defaultChildren }) =>
            isPlaceholder ? defaultChildren : selectedText
          }
        </SelectValue>
        <OpenSign />
      </Button>
      <Popover className="popover">
        <ListBox className="list-box" items={rows}>
          {(item) => (
            <ListBoxItem id={item.key} textValue={item.name} className="list-item">
              <Text slot="label">{item.name}</Text>
              {item.detail === undefined ? null : (
                <Text slot="description" className="list-item-detail">
                  {item.detail}
                </Text>
              )}
            </ListBoxItem>
          )}
        </ListBox>
      </Popover>
    </AriaSelect>
  )
}
