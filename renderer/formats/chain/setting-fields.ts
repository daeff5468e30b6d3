// Number fields of each stage: its named settings with the bounds of the contract's schema. Bands, target curves and
// shapes have their own editors.

import { type ChainStage, stageSettings } from '../../../app/contract/chain-document.ts'
import { type NamedSetting, type StageKind, settingsOfKind } from '../../../app/words/chain/setting-names.ts'
import { type Bounds, boundsOf } from '../bounds.ts'

/** A number field for one setting of a stage; the arrow keys change it by `step`. */
export type SettingField = NamedSetting & Bounds

/** Bounds of one number of a stage. */
export function rangeOf(kind: StageKind, key: string): Bounds {
  const shape: Readonly<Record<string, unknown>> = stageSettings[kind].shape
  return boundsOf(shape[key] as Parameters<typeof boundsOf>[0])
}

/** Fields of a kind of stage, in the order they are shown. Frequencies step through the preferred third-octaves. */
export const fieldsOf = (kind: StageKind): readonly SettingField[] =>
  settingsOfKind(kind).map((setting) => ({ ...setting, ...rangeOf(kind, setting.key) }))

/** The stage with some settings changed. Bounds are checked when the chain is saved. */
export const withSettings = <S extends ChainStage>(stage: S, changes: Partial<S['settings']>): S => ({
  ...stage,
  settings: { ...stage.settings, ...changes },
})
