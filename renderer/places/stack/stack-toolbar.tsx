// Toolbar of Stack: playback, chain sharing, session settings, measuring, zoom, bounce, deliver.

import { memo, useState } from 'react'
import { ToggleButton } from 'react-aria-components'
import type { ChainSharing, SessionContents } from '../../../app/contract/entities.ts'
import { addGroup, changeSession } from '../../acts/stack-acts.ts'
import { ariaKeysOf } from '../../keys/key-table.ts'
import { BounceDialog } from '../../panels/bounce/bounce-dialog.tsx'
import { useMixKey } from '../../panels/bounce/use-mix-key.ts'
import { DeliveryDialog } from '../../panels/delivery/delivery-dialog.tsx'
import { OtherSettingsButton } from '../../panels/exchange/other-settings.tsx'
import { Button } from '../../parts/button.tsx'
import { Select, type SelectItem } from '../../parts/fields/select.tsx'
import { LinesSign, MinusSign, PlaySign, PlusSign } from '../../parts/signs.tsx'
import { player } from '../../playback/player.ts'
import { isChanged, useDraftOf } from '../../state/chain/chain-draft.ts'
import { CheckButton } from './check/check-panel.tsx'
import { SessionDialog } from './session-dialog.tsx'
import { StackMeasureDialog } from './stack-measure-dialog.tsx'
import {
  CLOSEST_PX_PER_SECOND,
  setDensity,
  setWaveGain,
  setZoom,
  useShownZoom,
  useStackView,
  zoomBy,
} from './stack-view.ts'

const SHARING_ITEMS: readonly { key: ChainSharing; name: string; detail: string }[] = [
  { key: 'own', name: 'Chain per group', detail: 'Each group’s levels drive its own chain' },
  {
    key: 'shared',
    name: 'One shared chain',
    detail: 'Driven by the whole stack, so that the stems sum to it',
  },
]
const WAVE_GAIN_ITEMS = [1, 2, 4, 8].map((factor) => ({ key: factor, name: `Waves ×${factor}` }))
const ZOOM_STEP = 1.5

/** 'Group 4' for a fourth group, or the next free number. */
function freeGroupName(groups: readonly { name: string }[]): string {
  for (let number = groups.length + 1; ; number++) {
    const name = `Group ${number}`
    if (groups.every((group) => group.name.toLowerCase() !== name.toLowerCase())) return name
  }
}

export interface StackToolbarProps {
  readonly contents: SessionContents
  readonly chainChoices: readonly SelectItem<number>[]
}

/** Playback, chain sharing, session, measuring, groups, rows, zoom and bounce. */
export const StackToolbar = memo(function StackToolbar({ contents, chainChoices }: StackToolbarProps) {
  const { session, groups, layers } = contents
  const { waveGain, density } = useStackView()
  const [dialog, setDialog] = useState<'session' | 'measure' | 'bounce' | 'deliver' | null>(null)
  const close = (): void => setDialog(null)
  const draft = useDraftOf({ sessionId: session.id, groupId: null, name: '' })
  const isDraft = draft !== null && isChanged(draft)
  useMixKey('bounce', layers.length > 0, () => setDialog('bounce'))
  useMixKey('deliver', layers.length > 0, () => setDialog('deliver'))

  return (
    <section className="stack-toolbar" aria-label="Stack controls">
      <Button
        className="stack-play"
        aria-label="Play stack"
        isDisabled={layers.length === 0}
        onPress={() => void player.play({ target: { kind: 'stack', sessionId: session.id }, draft: null })}
      >
        <PlaySign />
        <span className="stack-play-word">Play stack</span>
      </Button>
      <Select
        className="sharing-chooser"
        label="Chain sharing"
        isLabelHidden
        items={SHARING_ITEMS}
        value={session.chainSharing}
        onChange={(chainSharing) => {
          if (chainSharing !== null) void changeSession(session, { chainSharing }, 'chain sharing')
        }}
      />
      {session.chainSharing === 'shared' ? (
        <Select
          className="shared-chain-chooser"
          label="Shared chain"
          isLabelHidden
          items={chainChoices}
          none={isDraft ? 'Draft, never saved' : 'No chain'}
          value={session.sharedChainVersionId}
          onChange={(sharedChainVersionId) =>
            void changeSession(session, { sharedChainVersionId }, 'shared chain')
          }
        />
      ) : null}
      <Button onPress={() => setDialog('session')}>Session</Button>
      <OtherSettingsButton sessionId={session.id} />
      <Button isDisabled={layers.length === 0} onPress={() => setDialog('measure')}>
        Measure
      </Button>
      <CheckButton contents={contents} />
      <Button onPress={() => void addGroup(session.id, freeGroupName(groups))}>Add group</Button>
      <div className="stack-toolbar-end">
        <ToggleButton
          className="button button-sign stack-density"
          aria-label="One-line rows"
          isSelected={density === 'lines'}
          onChange={(isLines) => setDensity(isLines ? 'lines' : 'open')}
        >
          <LinesSign />
        </ToggleButton>
        <ZoomButtons />
        <Select
          className="wave-gain-chooser"
          label="Waveform height"
          isLabelHidden
          items={WAVE_GAIN_ITEMS}
          value={waveGain}
          onChange={(factor) => setWaveGain(factor ?? 1)}
        />
        <Button
          look="main"
          isDisabled={layers.length === 0}
          aria-keyshortcuts={ariaKeysOf('bounce')}
          onPress={() => setDialog('bounce')}
        >
          Bounce
        </Button>
        <Button
          isDisabled={layers.length === 0}
          aria-keyshortcuts={ariaKeysOf('deliver')}
          onPress={() => setDialog('deliver')}
        >
          Deliver
        </Button>
      </div>
      {dialog === 'session' ? <SessionDialog session={session} onClose={close} /> : null}
      {dialog === 'measure' ? <StackMeasureDialog contents={contents} onClose={close} /> : null}
      {dialog === 'bounce' ? <BounceDialog contents={contents} onClose={close} /> : null}
      {dialog === 'deliver' ? <DeliveryDialog contents={contents} onClose={close} /> : null}
    </section>
  )
})

/** Apart, so that a step of the zoom renders nothing else. */
function ZoomButtons() {
  const { pxPerSecond, wholeSongPxPerSecond } = useShownZoom()
  const zoom = (factor: number): void => zoomBy(factor, pxPerSecond, wholeSongPxPerSecond)
  return (
    <>
      <Button
        look="sign"
        aria-label="Zoom out"
        isDisabled={pxPerSecond <= wholeSongPxPerSecond * 1.001}
        onPress={() => zoom(1 / ZOOM_STEP)}
      >
        <MinusSign />
      </Button>
      <Button look="plain" onPress={() => setZoom(null)}>
        Whole song
      </Button>
      <Button
        look="sign"
        aria-label="Zoom in"
        isDisabled={pxPerSecond >= CLOSEST_PX_PER_SECOND}
        onPress={() => zoom(ZOOM_STEP)}
      >
        <PlusSign />
      </Button>
    </>
  )
}
