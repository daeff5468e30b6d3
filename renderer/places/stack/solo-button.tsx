// Solo of a layer or group. With Ctrl, Cmd or Alt it alone is soloed.

import { Button } from '../../parts/button.tsx'
import { toggleSolo, useSolo } from '../../state/solo.ts'

export interface SoloButtonProps {
  readonly kind: 'layer' | 'group'
  readonly id: number
  readonly name: string
}

export function SoloButton({ kind, id, name }: SoloButtonProps) {
  const { layerIds, groupIds } = useSolo()
  return (
    <Button
      look="sign"
      className="solo-button"
      aria-label={`Solo ${name}`}
      aria-pressed={(kind === 'layer' ? layerIds : groupIds).has(id)}
      onPress={({ ctrlKey, metaKey, altKey }) => toggleSolo(kind, id, ctrlKey || metaKey || altKey)}
    >
      S
    </Button>
  )
}
