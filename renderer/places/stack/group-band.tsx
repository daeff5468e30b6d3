// A group: name, gain and chain in its header, and its layers below, joined by a bracket like the
// staves of a score.

import { type CSSProperties, memo, type ReactNode, type RefObject, useEffect, useRef, useState } from 'react'
import type { Group } from '../../../app/contract/entities.ts'
import { formatGain } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { changeGroup, removeGroup } from '../../acts/stack-acts.ts'
import { GROUP_GAIN_BOUNDS } from '../../formats/bounds.ts'
import { keyActOf } from '../../keys/key-table.ts'
import { Button } from '../../parts/button.tsx'
import { InlineName } from '../../parts/fields/inline-name.tsx'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { Select, type SelectItem } from '../../parts/fields/select.tsx'
import { neighbourOf } from '../../parts/focus-beside.ts'
import { Menu } from '../../parts/menu.tsx'
import { OnSign, OpenSign, PlaySign } from '../../parts/signs.tsx'
import { player } from '../../playback/player.ts'
import { isChanged, useDraftOf } from '../../state/chain/chain-draft.ts'
import { forgetJustMade } from '../../state/just-made.ts'
import { goTo, selectGroup } from '../../state/selection.ts'
import { undoHistory } from '../../state/undo.ts'
import { chooseGroup } from './chosen/choosing.ts'
import { GroupByEar } from './group-by-ear.tsx'
import { onGroupHeadKey } from './row-keys.ts'
import { SoloButton } from './solo-button.tsx'
import { setFolded } from './stack-view.ts'

export interface GroupBandProps {
  readonly group: Group
  readonly layerCount: number
  readonly chainChoices: readonly SelectItem<number>[]
  /** All groups share one chain, so the group has no chain of its own. */
  readonly isShared: boolean
  /** Whether a chain processes it, its own or the shared one. */
  readonly hasChain: boolean
  readonly isSelected: boolean
  /** A custom property of the theme, such as --group-1. */
  readonly colour: string
  readonly isFolded: boolean
  /** Whether it was made just now and is to be named. */
  readonly isNew: boolean
  /** Its waveform, where it is folded. */
  readonly wave: ReactNode
  readonly children: ReactNode
}

/** One group: name, gain and chain above its layers. */
export function GroupBand(props: GroupBandProps) {
  const { group, layerCount, chainChoices, isShared, hasChain, isFolded, isNew } = props
  const band = useRef<HTMLElement>(null)
  useEffect(() => {
    if (!isNew) return
    forgetJustMade()
    band.current!.scrollIntoView({ block: 'nearest' })
    band.current!.querySelector<HTMLInputElement>('.group-name')?.select()
  }, [isNew])
  return (
    <section
      ref={band}
      className="group-band"
      aria-label={`Group ${group.name}`}
      style={{ '--group': `var(${props.colour})` } as CSSProperties}
      data-selected={props.isSelected || undefined}
      data-folded={isFolded || undefined}
    >
      <GroupHead {...{ group, layerCount, chainChoices, isShared, hasChain, isFolded, band }} />
      {isFolded ? (
        <div className="group-folded">
          <div className="layer-head" />
          {props.wave}
        </div>
      ) : layerCount === 0 ? (
        <p className="group-layers group-empty soft">No layers yet. Place takes from Intake.</p>
      ) : (
        // biome-ignore lint/a11y/useSemanticElements: a table cannot be laid out on a time axis
        <div
          className="group-layers"
          role="grid"
          aria-multiselectable="true"
          aria-label={`Layers of ${group.name}`}
        >
          {props.children}
        </div>
      )}
    </section>
  )
}

interface GroupHeadProps
  extends Pick<
    GroupBandProps,
    'group' | 'layerCount' | 'chainChoices' | 'isShared' | 'hasChain' | 'isFolded'
  > {
  readonly band: RefObject<HTMLElement | null>
}

/** Remembered, so that zooming and scrolling do not render it again. */
const GroupHead = memo(function GroupHead(props: GroupHeadProps) {
  const { group, layerCount, chainChoices, isShared, hasChain, isFolded, band } = props
  const [isComparing, setComparing] = useState(false)
  const draft = useDraftOf(
    isShared ? null : { sessionId: group.sessionId, groupId: group.id, name: group.name },
  )
  const isDraft = draft !== null && isChanged(draft)
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the selection follows the focus of the fields inside
    <div
      className="group-head"
      onFocus={() => selectGroup(group.id)}
      onBlur={() => undoHistory.seal()}
      onKeyDown={(event) => onGroupHeadKey(event, keyActOf(event, 'groupHead'))}
    >
      <Button
        look="sign"
        className="group-fold"
        aria-label={`Layers of ${group.name}`}
        aria-expanded={!isFolded}
        isDisabled={layerCount === 0}
        onPress={() => setFolded(group.id, !isFolded)}
      >
        {isFolded ? <OnSign /> : <OpenSign />}
      </Button>
      <Button
        look="sign"
        aria-label={`Play group ${group.name}`}
        isDisabled={layerCount === 0}
        onPress={() => void player.play({ target: { kind: 'group', groupId: group.id }, draft: null })}
      >
        <PlaySign />
      </Button>
      <InlineName
        className="group-name"
        label={`Name of group ${group.name}`}
        value={group.name}
        onChange={(name) => void changeGroup(group, { name }, 'name')}
      />
      <Menu
        label={`More for group ${group.name}`}
        acts={[
          ...(hasChain && layerCount > 0
            ? [{ name: 'Compare versions by ear in the stack', onAction: () => setComparing(true) }]
            : []),
          ...(layerCount < 2
            ? []
            : [{ name: `Choose its ${countOf(layerCount, 'layer')}`, onAction: () => chooseGroup(group) }]),
          {
            name: layerCount === 0 ? 'Remove group' : `Remove group with ${countOf(layerCount, 'layer')}`,
            onAction: () => {
              const next = neighbourOf(band.current, '.group-name')
              void removeGroup(group).then((isDone) => isDone && next?.focus())
            },
          },
        ]}
      />
      <SoloButton kind="group" id={group.id} name={`group ${group.name}`} />
      <NumberField
        className="group-gain"
        label={`Gain of group ${group.name}`}
        isLabelHidden
        value={group.gainDb}
        unit="dB"
        {...GROUP_GAIN_BOUNDS}
        step={0.5}
        format={formatGain}
        onChange={(gainDb) => void changeGroup(group, { gainDb }, 'gain')}
      />
      {isShared ? (
        <span className="group-chain soft">uses the shared chain</span>
      ) : (
        <Select
          className="group-chain"
          label={`Chain of group ${group.name}`}
          isLabelHidden
          items={chainChoices}
          none={isDraft ? 'Draft, never saved' : 'No chain'}
          value={group.chainVersionId}
          onChange={(chainVersionId) => void changeGroup(group, { chainVersionId }, 'chain')}
        />
      )}
      <Button
        look="plain"
        aria-label={`Open in Chain: ${group.name}`}
        onPress={() => {
          selectGroup(group.id)
          goTo('chain')
        }}
      >
        Open in Chain
      </Button>
      <span className="group-count soft">{countOf(layerCount, 'layer')}</span>
      {isComparing ? <GroupByEar group={group} onClose={() => setComparing(false)} /> : null}
    </div>
  )
})
