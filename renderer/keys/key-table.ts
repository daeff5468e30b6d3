// All keyboard shortcuts of the window. Key listeners, the shortcuts named on controls and the Keys
// dialog all use this table.

export interface Stroke {
  /** As in KeyboardEvent.key. */
  readonly key: string
  /** Ctrl, or Cmd on Apple keyboards. */
  readonly command?: true
  readonly shift?: true
  readonly alt?: true
}

/** Where keys apply, with the headings of the Keys dialog. */
export const KEY_GROUPS = {
  everywhere: 'Everywhere',
  intake: 'In Intake',
  takes: 'On a take in Intake',
  placing: 'In the dialog Place takes',
  byEar: 'In the dialog Compare by ear',
  mix: 'In Stack and Chain',
  song: 'In Stack',
  chain: 'In Chain',
  stages: 'On a stage’s name',
  along: 'On the lanes along the song in Chain',
  plot: 'On a point or line of a plot',
  groupHead: 'On a group’s head in Stack',
  section: 'On a section in Stack',
  row: 'On a layer in Stack',
  wave: 'On a waveform in Stack',
  ruler: 'On the ruler in Stack',
  trace: 'On a traced picture',
  position: 'On the position bar',
  field: 'In a number field',
  text: 'In a name or search field',
} as const
/** Within a group, each key has only one act. */
export type KeyGroup = keyof typeof KEY_GROUPS

interface KeyAct {
  readonly group: KeyGroup
  readonly does: string
  readonly strokes: readonly Stroke[]
}

/** All acts that have keys, in the order of the Keys dialog. */
export const KEY_ACTS = {
  play: {
    group: 'everywhere',
    does: 'Play and stop; on a button reached by Tab, presses that button',
    strokes: [{ key: ' ' }],
  },
  stop: {
    group: 'everywhere',
    does: 'Stop where Space types or presses, as in a dialog',
    strokes: [{ key: ' ', command: true }],
  },
  home: {
    group: 'everywhere',
    does: 'Go to the start, or to the loop start',
    strokes: [{ key: 'Home' }],
  },
  sides: { group: 'everywhere', does: 'Dry / processed', strokes: [{ key: 'd' }] },
  change: {
    group: 'everywhere',
    does: 'Only what processing changes, at equal loudness',
    strokes: [{ key: 'd', shift: true }],
  },
  loop: { group: 'everywhere', does: 'Loop on and off', strokes: [{ key: 'l' }] },
  mono: { group: 'everywhere', does: 'Listen in mono', strokes: [{ key: 'm', shift: true }] },
  intake: { group: 'everywhere', does: 'Go to Intake', strokes: [{ key: '1' }] },
  mics: { group: 'everywhere', does: 'Go to Mics', strokes: [{ key: '2' }] },
  stack: { group: 'everywhere', does: 'Go to Stack', strokes: [{ key: '3' }] },
  chain: { group: 'everywhere', does: 'Go to Chain', strokes: [{ key: '4' }] },
  ledger: { group: 'everywhere', does: 'Go to Ledger', strokes: [{ key: '5' }] },
  newSession: { group: 'everywhere', does: 'New session', strokes: [{ key: 'n', shift: true }] },
  importTakes: { group: 'everywhere', does: 'Import takes', strokes: [{ key: 'i', command: true }] },
  people: { group: 'everywhere', does: 'People and songs', strokes: [{ key: 'p', shift: true }] },
  undo: { group: 'everywhere', does: 'Undo', strokes: [{ key: 'z', command: true }] },
  redo: {
    group: 'everywhere',
    does: 'Redo',
    strokes: [
      { key: 'z', command: true, shift: true },
      { key: 'y', command: true },
    ],
  },
  keys: { group: 'everywhere', does: 'Show these keys', strokes: [{ key: '?' }] },

  placeAll: {
    group: 'intake',
    does: 'Place all as guessed',
    strokes: [{ key: 'Enter', shift: true }],
  },

  placeTakes: { group: 'takes', does: 'Place the selected takes in the stack', strokes: [{ key: 'Enter' }] },
  hearTake: { group: 'takes', does: 'Play the take, or stop', strokes: [{ key: 'p' }] },
  analyseTake: { group: 'takes', does: 'Analyse voice', strokes: [{ key: 'a' }] },
  takeDetails: { group: 'takes', does: 'Waveform and findings on and off', strokes: [{ key: 'i' }] },
  filterTakes: { group: 'takes', does: 'Go to the filter', strokes: [{ key: 'f' }] },
  removeTakes: {
    group: 'takes',
    does: 'Remove the selected takes from the session',
    strokes: [{ key: 'Delete' }, { key: 'Backspace' }],
  },

  placeAsked: {
    group: 'placing',
    does: 'Place the takes, once each has a role',
    strokes: [{ key: 'Enter' }],
  },

  bounce: { group: 'mix', does: 'Bounce', strokes: [{ key: 'b', command: true }] },
  deliver: { group: 'mix', does: 'Deliver', strokes: [{ key: 'b', command: true, shift: true }] },

  markSection: {
    group: 'song',
    does: 'Begin a section at the playhead, and end it',
    strokes: [{ key: 'k' }],
  },
  previousSection: { group: 'song', does: 'Go to the section before', strokes: [{ key: ',' }] },
  nextSection: { group: 'song', does: 'Go to the next section', strokes: [{ key: '.' }] },
  loopSection: {
    group: 'song',
    does: 'Loop the selected section, or the one at the playhead',
    strokes: [{ key: 'l', shift: true }],
  },

  nextFinding: {
    group: 'song',
    does: 'Go to the next finding of the stack check, and loop it',
    strokes: [{ key: 'f' }],
  },
  previousFinding: {
    group: 'song',
    does: 'Go to the finding before',
    strokes: [{ key: 'f', shift: true }],
  },

  addBand: { group: 'chain', does: 'Add a band to the tone stage', strokes: [{ key: 'n' }] },
  compareStage: { group: 'chain', does: 'Compare the selected stage', strokes: [{ key: 's' }] },
  save: { group: 'chain', does: 'Save the chain', strokes: [{ key: 's', command: true }] },
  placeBefore: {
    group: 'chain',
    does: 'Go to the place before where a stage does more than usual',
    strokes: [{ key: ',' }],
  },
  placeAfter: {
    group: 'chain',
    does: 'Go to the next place where a stage does more than usual',
    strokes: [{ key: '.' }],
  },

  hearA: { group: 'byEar', does: 'Hear A', strokes: [{ key: '1' }] },
  hearB: { group: 'byEar', does: 'Hear B', strokes: [{ key: '2' }] },
  hearC: { group: 'byEar', does: 'Hear C', strokes: [{ key: '3' }] },
  hearD: { group: 'byEar', does: 'Hear D', strokes: [{ key: '4' }] },
  stageBefore: { group: 'stages', does: 'Previous stage', strokes: [{ key: 'ArrowLeft' }] },
  stageAfter: { group: 'stages', does: 'Next stage', strokes: [{ key: 'ArrowRight' }] },
  stageEarlier: { group: 'stages', does: 'Move stage earlier', strokes: [{ key: 'ArrowLeft', alt: true }] },
  stageLater: { group: 'stages', does: 'Move stage later', strokes: [{ key: 'ArrowRight', alt: true }] },
  bypassStage: { group: 'stages', does: 'Bypass stage', strokes: [{ key: 'b' }] },
  removeStage: {
    group: 'stages',
    does: 'Remove stage',
    strokes: [{ key: 'Delete' }, { key: 'Backspace' }],
  },

  phraseBefore: { group: 'along', does: 'Phrase before', strokes: [{ key: 'ArrowLeft' }] },
  phraseAfter: { group: 'along', does: 'Next phrase', strokes: [{ key: 'ArrowRight' }] },
  rangeShorter: {
    group: 'along',
    does: 'End the range 0.1 s earlier',
    strokes: [{ key: 'ArrowLeft', shift: true }],
  },
  rangeLonger: {
    group: 'along',
    does: 'End the range 0.1 s later',
    strokes: [{ key: 'ArrowRight', shift: true }],
  },
  rangeStart: { group: 'along', does: 'Begin the range at the playhead', strokes: [{ key: '[' }] },
  rangeEnd: { group: 'along', does: 'End the range at the playhead', strokes: [{ key: ']' }] },
  keepRange: { group: 'along', does: 'Keep the range to compare with', strokes: [{ key: 'k' }] },
  songCloser: { group: 'along', does: 'Zoom in', strokes: [{ key: '+' }] },
  songFarther: { group: 'along', does: 'Zoom out', strokes: [{ key: '-' }] },
  wholeTake: { group: 'along', does: 'Whole take; cancel drag', strokes: [{ key: 'Escape' }] },

  plotLeft: { group: 'plot', does: 'Step left', strokes: [{ key: 'ArrowLeft' }] },
  plotRight: { group: 'plot', does: 'Step right', strokes: [{ key: 'ArrowRight' }] },
  plotUp: { group: 'plot', does: 'Step up', strokes: [{ key: 'ArrowUp' }] },
  plotDown: { group: 'plot', does: 'Step down', strokes: [{ key: 'ArrowDown' }] },
  plotFarLeft: { group: 'plot', does: '10 steps left', strokes: [{ key: 'ArrowLeft', shift: true }] },
  plotFarRight: { group: 'plot', does: '10 steps right', strokes: [{ key: 'ArrowRight', shift: true }] },
  plotFarUp: { group: 'plot', does: '10 steps up', strokes: [{ key: 'ArrowUp', shift: true }] },
  plotFarDown: { group: 'plot', does: '10 steps down', strokes: [{ key: 'ArrowDown', shift: true }] },
  removeBand: { group: 'plot', does: 'Remove band', strokes: [{ key: 'Delete' }, { key: 'Backspace' }] },

  headAbove: { group: 'groupHead', does: 'To the layer or group above', strokes: [{ key: 'ArrowUp' }] },
  headBelow: {
    group: 'groupHead',
    does: 'To its first layer, or to the next group',
    strokes: [{ key: 'ArrowDown' }],
  },

  sectionBefore: { group: 'section', does: 'Section before', strokes: [{ key: 'ArrowLeft' }] },
  sectionAfter: { group: 'section', does: 'Next section', strokes: [{ key: 'ArrowRight' }] },
  sectionName: { group: 'section', does: 'Edit its name', strokes: [{ key: 'Enter' }, { key: 'F2' }] },
  sectionEarlier: {
    group: 'section',
    does: 'A beat earlier',
    strokes: [{ key: 'ArrowLeft', alt: true }],
  },
  sectionLater: { group: 'section', does: 'A beat later', strokes: [{ key: 'ArrowRight', alt: true }] },
  sectionShorter: {
    group: 'section',
    does: 'End a beat earlier',
    strokes: [{ key: 'ArrowLeft', shift: true }],
  },
  sectionLonger: {
    group: 'section',
    does: 'End a beat later',
    strokes: [{ key: 'ArrowRight', shift: true }],
  },
  removeSection: {
    group: 'section',
    does: 'Remove section',
    strokes: [{ key: 'Delete' }, { key: 'Backspace' }],
  },
  leaveSection: { group: 'section', does: 'Cancel drag', strokes: [{ key: 'Escape' }] },

  rowAbove: { group: 'row', does: 'Layer or group above', strokes: [{ key: 'ArrowUp' }] },
  rowBelow: { group: 'row', does: 'Layer or group below', strokes: [{ key: 'ArrowDown' }] },
  rowNext: { group: 'row', does: 'Into its controls, to the next one', strokes: [{ key: 'ArrowRight' }] },
  rowPrevious: { group: 'row', does: 'To the control before', strokes: [{ key: 'ArrowLeft' }] },
  rowLeave: {
    group: 'row',
    does: 'From a control back to the layer; from the layer, choose none',
    strokes: [{ key: 'Escape' }],
  },
  rowName: { group: 'row', does: 'Edit its name', strokes: [{ key: 'Enter' }, { key: 'F2' }] },
  choose: {
    group: 'row',
    does: 'Choose the layer to change it with others, or not',
    strokes: [{ key: 'x' }],
  },
  chooseAbove: {
    group: 'row',
    does: 'Choose up to the layer above',
    strokes: [{ key: 'ArrowUp', shift: true }],
  },
  chooseBelow: {
    group: 'row',
    does: 'Choose up to the layer below',
    strokes: [{ key: 'ArrowDown', shift: true }],
  },
  rowOnAbove: {
    group: 'row',
    does: 'Layer above; the choice stays',
    strokes: [{ key: 'ArrowUp', command: true }],
  },
  rowOnBelow: {
    group: 'row',
    does: 'Layer below; the choice stays',
    strokes: [{ key: 'ArrowDown', command: true }],
  },
  chooseAll: { group: 'row', does: 'Choose all layers', strokes: [{ key: 'a', command: true }] },
  mute: { group: 'row', does: 'Mute', strokes: [{ key: 'm' }] },
  polarity: { group: 'row', does: 'Invert the polarity (Ø), or not', strokes: [{ key: 'p' }] },
  solo: { group: 'row', does: 'Solo, for listening only', strokes: [{ key: 's' }] },
  soloAlone: { group: 'row', does: 'Solo this layer alone', strokes: [{ key: 's', shift: true }] },
  louder: {
    group: 'row',
    does: '0.5 dB louder',
    strokes: [{ key: '+' }, { key: 'ArrowUp', alt: true }],
  },
  quieter: {
    group: 'row',
    does: '0.5 dB quieter',
    strokes: [{ key: '-' }, { key: 'ArrowDown', alt: true }],
  },
  removeRow: { group: 'row', does: 'Remove layer', strokes: [{ key: 'Delete' }, { key: 'Backspace' }] },

  earlier: { group: 'wave', does: '1 ms earlier', strokes: [{ key: 'ArrowLeft' }] },
  later: { group: 'wave', does: '1 ms later', strokes: [{ key: 'ArrowRight' }] },
  muchEarlier: { group: 'wave', does: '10 ms earlier', strokes: [{ key: 'ArrowLeft', shift: true }] },
  muchLater: { group: 'wave', does: '10 ms later', strokes: [{ key: 'ArrowRight', shift: true }] },
  removeLayer: {
    group: 'wave',
    does: 'Remove layer',
    strokes: [{ key: 'Delete' }, { key: 'Backspace' }],
  },
  cancelDrag: { group: 'wave', does: 'Cancel drag', strokes: [{ key: 'Escape' }] },

  beatBack: { group: 'ruler', does: 'Beat back', strokes: [{ key: 'ArrowLeft' }] },
  beatOn: { group: 'ruler', does: 'Beat forward', strokes: [{ key: 'ArrowRight' }] },
  loopStart: { group: 'ruler', does: 'Loop start at playhead', strokes: [{ key: '[' }] },
  loopEnd: { group: 'ruler', does: 'Loop end at playhead', strokes: [{ key: ']' }] },
  clearLoop: { group: 'ruler', does: 'Clear loop', strokes: [{ key: 'Escape' }, { key: 'Delete' }] },

  traceLeft: { group: 'trace', does: 'Half a pixel left', strokes: [{ key: 'ArrowLeft' }] },
  traceRight: { group: 'trace', does: 'Half a pixel right', strokes: [{ key: 'ArrowRight' }] },
  traceUp: { group: 'trace', does: 'Half a pixel up', strokes: [{ key: 'ArrowUp' }] },
  traceDown: { group: 'trace', does: 'Half a pixel down', strokes: [{ key: 'ArrowDown' }] },
  traceFarLeft: { group: 'trace', does: '5 pixels left', strokes: [{ key: 'ArrowLeft', shift: true }] },
  traceFarRight: { group: 'trace', does: '5 pixels right', strokes: [{ key: 'ArrowRight', shift: true }] },
  traceFarUp: { group: 'trace', does: '5 pixels up', strokes: [{ key: 'ArrowUp', shift: true }] },
  traceFarDown: { group: 'trace', does: '5 pixels down', strokes: [{ key: 'ArrowDown', shift: true }] },
  traceFineLeft: { group: 'trace', does: '0.1 pixel left', strokes: [{ key: 'ArrowLeft', alt: true }] },
  traceFineRight: { group: 'trace', does: '0.1 pixel right', strokes: [{ key: 'ArrowRight', alt: true }] },
  traceFineUp: { group: 'trace', does: '0.1 pixel up', strokes: [{ key: 'ArrowUp', alt: true }] },
  traceFineDown: { group: 'trace', does: '0.1 pixel down', strokes: [{ key: 'ArrowDown', alt: true }] },
  previousPoint: { group: 'trace', does: 'Previous point', strokes: [{ key: 'PageUp' }] },
  nextPoint: { group: 'trace', does: 'Next point', strokes: [{ key: 'PageDown' }] },
  removePoint: {
    group: 'trace',
    does: 'Remove point',
    strokes: [{ key: 'Delete' }, { key: 'Backspace' }],
  },
  followLine: { group: 'trace', does: 'Follow the line from the point', strokes: [{ key: 'Enter' }] },
  zoomIn: { group: 'trace', does: 'Zoom in', strokes: [{ key: '+' }] },
  zoomOut: { group: 'trace', does: 'Zoom out', strokes: [{ key: '-' }] },

  secondBack: { group: 'position', does: '1 s back', strokes: [{ key: 'ArrowLeft' }] },
  secondOn: { group: 'position', does: '1 s forward', strokes: [{ key: 'ArrowRight' }] },
  farBack: { group: 'position', does: '10 s back', strokes: [{ key: 'PageDown' }] },
  farOn: { group: 'position', does: '10 s forward', strokes: [{ key: 'PageUp' }] },

  stepUp: { group: 'field', does: 'Step up', strokes: [{ key: 'ArrowUp' }] },
  stepDown: { group: 'field', does: 'Step down', strokes: [{ key: 'ArrowDown' }] },
  leapUp: {
    group: 'field',
    does: '10 steps up',
    strokes: [{ key: 'ArrowUp', shift: true }, { key: 'PageUp' }],
  },
  leapDown: {
    group: 'field',
    does: '10 steps down',
    strokes: [{ key: 'ArrowDown', shift: true }, { key: 'PageDown' }],
  },
  applyValue: { group: 'field', does: 'Apply', strokes: [{ key: 'Enter' }] },
  cancelEdit: { group: 'field', does: 'Cancel edit', strokes: [{ key: 'Escape' }] },

  applyName: { group: 'text', does: 'Apply the name', strokes: [{ key: 'Enter' }] },
  cancelName: { group: 'text', does: 'Cancel edit, or clear the search', strokes: [{ key: 'Escape' }] },
  toResults: { group: 'text', does: 'From the search to its results', strokes: [{ key: 'ArrowDown' }] },
} as const satisfies Record<string, KeyAct>

/** Name of an act that has keys. */
export type KeyActName = keyof typeof KEY_ACTS
/** Names of all acts that have keys. */
export const KEY_ACT_NAMES = Object.keys(KEY_ACTS) as readonly KeyActName[]

/** The keys of an act, the usual one first. */
export const strokesOf = (name: KeyActName): readonly Stroke[] => KEY_ACTS[name].strokes

type KeyPress = Pick<KeyboardEvent, 'key' | 'ctrlKey' | 'metaKey' | 'altKey' | 'shiftKey'> & {
  getModifierState?(name: string): boolean
}

/** Shift with a letter is a different stroke. For signs and digits it is ignored: some keyboards need it. */
const isLetter = (key: string): boolean => /^[a-z]$/i.test(key)
const isSign = (key: string): boolean => key.length === 1 && key !== ' ' && !isLetter(key)
/** Whether it is a bare character, which speech input or a slip can trigger (WCAG 2.2, 2.1.4). */
const isBareCharacter = ({ key, command }: Stroke): boolean =>
  key.length === 1 && key !== ' ' && command === undefined

/** Whether the press types a bare character, as isBareCharacter says of a stroke. */
export const isBarePress = ({ key, ctrlKey, metaKey }: KeyPress): boolean =>
  isBareCharacter({ key, ...(ctrlKey || metaKey ? { command: true } : {}) })

function isPressed(press: KeyPress, { key, command, shift, alt }: Stroke): boolean {
  if (press.key.toLowerCase() !== key.toLowerCase()) return false
  // Some keyboards type brackets with AltGr, which is reported as Ctrl and Alt.
  if (isSign(key) && press.getModifierState?.('AltGraph') === true) return true
  return (
    (press.ctrlKey || press.metaKey) === (command === true) &&
    press.altKey === (alt === true) &&
    (isSign(key) || press.shiftKey === (shift === true))
  )
}

/** The act of a group that a key press triggers; null for none. */
export const keyActOf = (press: KeyPress, group: KeyGroup): KeyActName | null =>
  KEY_ACT_NAMES.find(
    (name) => KEY_ACTS[name].group === group && strokesOf(name).some((stroke) => isPressed(press, stroke)),
  ) ?? null

const ARIA_NAMES: Readonly<Record<string, string>> = { ' ': 'Space' }

/** Value for aria-keyshortcuts, as in 'Control+S'; several strokes are separated by spaces. */
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

/** Labels of the keys of a stroke, modifiers first. */
export const capsOf = ({ key, command, shift, alt }: Stroke, isApple: boolean): readonly string[] => [
  ...(command ? [isApple ? '⌘' : 'Ctrl'] : []),
  ...(alt ? [isApple ? '⌥' : 'Alt'] : []),
  ...(shift ? ['Shift'] : []),
  CAPS[key] ?? (isLetter(key) ? key.toUpperCase() : key),
]
