// Every key of the window, once: what is pressed, where, and what it does. The listeners ask
// this table, the controls name their shortcuts from it, and the page of keys is drawn from it.

export interface Stroke {
  /** As in KeyboardEvent.key. */
  readonly key: string
  /** Ctrl, or Cmd where that is the custom. */
  readonly command?: true
  readonly shift?: true
  readonly alt?: true
}

export const KEY_GROUPS = {
  everywhere: 'Everywhere',
  chain: 'In Chain',
  stages: 'On the name of a stage',
  wave: 'On a wave in Stack',
  ruler: 'On the ruler in Stack',
  position: 'On the position line',
  field: 'In a field with a number',
} as const
export type KeyGroup = keyof typeof KEY_GROUPS

interface KeyAct {
  readonly group: KeyGroup
  readonly does: string
  readonly strokes: readonly Stroke[]
}

export const KEY_ACTS = {
  play: { group: 'everywhere', does: 'Play and stop', strokes: [{ key: ' ' }] },
  home: {
    group: 'everywhere',
    does: 'Back to the start, or to that of the loop',
    strokes: [{ key: 'Home' }],
  },
  sides: { group: 'everywhere', does: 'Switch dry and processed', strokes: [{ key: 'd' }] },
  loop: { group: 'everywhere', does: 'Loop on and off', strokes: [{ key: 'l' }] },
  intake: { group: 'everywhere', does: 'Go to Intake', strokes: [{ key: '1' }] },
  mics: { group: 'everywhere', does: 'Go to Mics', strokes: [{ key: '2' }] },
  stack: { group: 'everywhere', does: 'Go to Stack', strokes: [{ key: '3' }] },
  chain: { group: 'everywhere', does: 'Go to Chain', strokes: [{ key: '4' }] },
  ledger: { group: 'everywhere', does: 'Go to Ledger', strokes: [{ key: '5' }] },
  undo: { group: 'everywhere', does: 'Undo', strokes: [{ key: 'z', command: true }] },
  redo: {
    group: 'everywhere',
    does: 'Do again',
    strokes: [
      { key: 'z', command: true, shift: true },
      { key: 'y', command: true },
    ],
  },
  keys: { group: 'everywhere', does: 'Show these keys', strokes: [{ key: '?' }] },

  compareStage: { group: 'chain', does: 'Compare the chosen stage', strokes: [{ key: 's' }] },
  save: { group: 'chain', does: 'Save the chain', strokes: [{ key: 's', command: true }] },

  stageBefore: { group: 'stages', does: 'To the stage before', strokes: [{ key: 'ArrowLeft' }] },
  stageAfter: { group: 'stages', does: 'To the stage after', strokes: [{ key: 'ArrowRight' }] },
  stageEarlier: { group: 'stages', does: 'Move it earlier', strokes: [{ key: 'ArrowLeft', alt: true }] },
  stageLater: { group: 'stages', does: 'Move it later', strokes: [{ key: 'ArrowRight', alt: true }] },
  removeStage: { group: 'stages', does: 'Remove it', strokes: [{ key: 'Delete' }, { key: 'Backspace' }] },

  earlier: { group: 'wave', does: '1 ms earlier', strokes: [{ key: 'ArrowLeft' }] },
  later: { group: 'wave', does: '1 ms later', strokes: [{ key: 'ArrowRight' }] },
  muchEarlier: { group: 'wave', does: '10 ms earlier', strokes: [{ key: 'ArrowLeft', shift: true }] },
  muchLater: { group: 'wave', does: '10 ms later', strokes: [{ key: 'ArrowRight', shift: true }] },
  removeLayer: {
    group: 'wave',
    does: 'Remove the layer',
    strokes: [{ key: 'Delete' }, { key: 'Backspace' }],
  },
  letGo: { group: 'wave', does: 'Let go while dragging', strokes: [{ key: 'Escape' }] },

  beatBack: { group: 'ruler', does: 'A beat back', strokes: [{ key: 'ArrowLeft' }] },
  beatOn: { group: 'ruler', does: 'A beat on', strokes: [{ key: 'ArrowRight' }] },
  loopStart: { group: 'ruler', does: 'Loop from here', strokes: [{ key: '[' }] },
  loopEnd: { group: 'ruler', does: 'Loop up to here', strokes: [{ key: ']' }] },
  dropLoop: { group: 'ruler', does: 'Take the loop away', strokes: [{ key: 'Escape' }, { key: 'Delete' }] },

  secondBack: { group: 'position', does: 'A second back', strokes: [{ key: 'ArrowLeft' }] },
  secondOn: { group: 'position', does: 'A second on', strokes: [{ key: 'ArrowRight' }] },
  farBack: { group: 'position', does: 'Ten seconds back', strokes: [{ key: 'PageDown' }] },
  farOn: { group: 'position', does: 'Ten seconds on', strokes: [{ key: 'PageUp' }] },

  stepUp: { group: 'field', does: 'A step up', strokes: [{ key: 'ArrowUp' }] },
  stepDown: { group: 'field', does: 'A step down', strokes: [{ key: 'ArrowDown' }] },
  leapUp: {
    group: 'field',
    does: 'Ten steps up',
    strokes: [{ key: 'ArrowUp', shift: true }, { key: 'PageUp' }],
  },
  leapDown: {
    group: 'field',
    does: 'Ten steps down',
    strokes: [{ key: 'ArrowDown', shift: true }, { key: 'PageDown' }],
  },
  take: { group: 'field', does: 'Take what is typed', strokes: [{ key: 'Enter' }] },
  forget: { group: 'field', does: 'Forget what is typed', strokes: [{ key: 'Escape' }] },
} as const satisfies Record<string, KeyAct>

export type KeyActName = keyof typeof KEY_ACTS
export const KEY_ACT_NAMES = Object.keys(KEY_ACTS) as readonly KeyActName[]

export const strokesOf = (name: KeyActName): readonly Stroke[] => KEY_ACTS[name].strokes

type KeyPress = Pick<KeyboardEvent, 'key' | 'ctrlKey' | 'metaKey' | 'altKey' | 'shiftKey'> & {
  getModifierState?(name: string): boolean
}

/** A letter can be typed with Shift and mean something else; a sign or digit is typed as the keyboard has it. */
const isLetter = (key: string): boolean => /^[a-z]$/i.test(key)
const isSign = (key: string): boolean => key.length === 1 && key !== ' ' && !isLetter(key)
/** What somebody who dictates or slips may press without meaning it (WCAG 2.2, 2.1.4). */
export const isBareCharacter = ({ key, command }: Stroke): boolean =>
  key.length === 1 && key !== ' ' && command === undefined

function isPressed(press: KeyPress, { key, command, shift, alt }: Stroke): boolean {
  if (press.key.toLowerCase() !== key.toLowerCase()) return false
  // AltGr, with which some keyboards type brackets, comes as Ctrl and Alt.
  if (isSign(key) && press.getModifierState?.('AltGraph') === true) return true
  return (
    (press.ctrlKey || press.metaKey) === (command === true) &&
    press.altKey === (alt === true) &&
    (isSign(key) || press.shiftKey === (shift === true))
  )
}

/** The act of a group that a key press asks for. */
export const keyActOf = (press: KeyPress, group: KeyGroup): KeyActName | null =>
  KEY_ACT_NAMES.find(
    (name) => KEY_ACTS[name].group === group && strokesOf(name).some((stroke) => isPressed(press, stroke)),
  ) ?? null

const ARIA_NAMES: Readonly<Record<string, string>> = { ' ': 'Space' }

/** For aria-keyshortcuts. */
export const ariaKeysOf = (name: KeyActName): string =>
  strokesOf(name)
    .map(({ key, command, shift, alt }) =>
      [
        ...(command ? ['Control'] : []),
        ...(alt ? ['Alt'] : []),
        ...(shift ? ['Shift'] : []),
        ARIA_NAMES[key] ?? (isLetter(key) ? key.toUpperCase() : key),
      ].join('+'),
    )
    .join(' ')

const CAPS: Readonly<Record<string, string>> = {
  ' ': 'Space',
  ArrowLeft: '←',
  ArrowRight: '→',
  ArrowUp: '↑',
  ArrowDown: '↓',
  Escape: 'Esc',
  PageUp: 'Page up',
  PageDown: 'Page down',
  Backspace: '⌫',
  Delete: 'Del',
}

/** What stands on the caps of a stroke, in the order they are held. */
export const capsOf = ({ key, command, shift, alt }: Stroke, isApple: boolean): readonly string[] => [
  ...(command ? [isApple ? '⌘' : 'Ctrl'] : []),
  ...(alt ? [isApple ? '⌥' : 'Alt'] : []),
  ...(shift ? ['Shift'] : []),
  CAPS[key] ?? (isLetter(key) ? key.toUpperCase() : key),
]
