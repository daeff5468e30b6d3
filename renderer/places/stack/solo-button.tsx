// Solo of a layer or group. With Ctrl, Cmd or Alt it alone is soloed.

import { Button } from '../../parts/button.tsx'
import { toggleSolo, useSolo } from '../../state/solo.ts'

export interface SoloButtonProps {
  readonly kind: 'layer' | 'group'
  readonly id: number
  readonly name: string
  /** All ids that are soloed by it, where it is not the one alone; asked when it is pressed. */
  readonly allIds?: () => readonly number[]
}

export function SoloButton({ kind, id, name, allIds = () => [id] }: SoloButtonProps) {
  const { layerIds, groupIds } = useSolo()
  return (
    <Button
      look="sign"
      className="solo-button"
      aria-label={`Solo ${name}`}
      aria-pressed={(kind === 'layer' ? layerIds : groupIds).has(id)}
      onPress={({ ctrlKey, metaKey, altKey }) => toggleSolo(kind, allIds(), ctrlKey || metaKey || altKey)}
    >
      S
    </Button>
  )
}
