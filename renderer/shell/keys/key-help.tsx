// The Keys dialog, generated from the key table.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import {
  capsOf,
  KEY_ACT_NAMES,
  KEY_ACTS,
  KEY_GROUPS,
  type KeyActName,
  type KeyGroup,
  strokesOf,
} from '../../keys/key-table.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons } from '../../parts/dialog.tsx'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { setSingleKeys, useSingleKeys } from '../../state/single-keys.ts'
import './key-help.css'

const store = createStore<{ readonly isOpen: boolean }>()(() => ({ isOpen: false }))
export const showKeyHelp = (): void => store.setState({ isOpen: true })

const isApple = /Mac|iPhone|iPad/.test(navigator.userAgent)

export function KeyHelp() {
  const areSingleKeysOn = useSingleKeys()
  const close = (): void => store.setState({ isOpen: false })
  if (!useStore(store).isOpen) return null
  return (
    <Dialog title="Keys" isOpen onClose={close} width="page">
      <div className="key-groups">
        {(Object.keys(KEY_GROUPS) as KeyGroup[]).map((group) => (
          <section key={group} className="key-group">
            <h3>{KEY_GROUPS[group]}</h3>
            <dl>
              {KEY_ACT_NAMES.filter((name) => KEY_ACTS[name].group === group).map((name) => (
                <div key={name} className="key-line">
                  <dt>
                    <Strokes name={name} />
                  </dt>
                  <dd>{KEY_ACTS[name].does}</dd>
                </div>
              ))}
            </dl>
          </section>
        ))}
      </div>
      <p className="soft">
        Mouse: Shift snaps a dragged waveform or loop to the beat, Alt sets plot frequencies between the third
        octaves, {isApple ? '⌘' : 'Ctrl'} with the wheel zooms the stack.
      </p>
      <DialogButtons>
        <span className="key-switch">
          <Checkbox isSelected={areSingleKeysOn} onChange={setSingleKeys}>
            Enable single-key shortcuts (letters, digits, signs)
          </Checkbox>
        </span>
        <Button look="main" autoFocus onPress={close}>
          Close
        </Button>
      </DialogButtons>
    </Dialog>
  )
}

const Strokes = ({ name }: { name: KeyActName }) =>
  strokesOf(name).map((stroke, index) => (
    <span key={capsOf(stroke, false).join('+')}>
      {index === 0 ? '' : ' or '}
      {capsOf(stroke, isApple).map((cap) => (
        <kbd key={cap}>{cap}</kbd>
      ))}
    </span>
  ))
