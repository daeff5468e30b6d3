// The transport below every place: play and stop, loop, position, what to play, dry or processed at
// equal loudness, mono, the meter and the listening level.

import { useEffect, useRef, useState } from 'react'
import { ToggleButton, ToggleButtonGroup } from 'react-aria-components'
import type { Session, SessionContents } from '../../../app/contract/entities.ts'
import type { MatchGains } from '../../../app/contract/playback.ts'
import { formatBars, hasTempo, timeBaseOf } from '../../../app/words/bars/bar-words.ts'
import { EQUAL_LOUDNESS } from '../../../app/words/equal-loudness.ts'
import { formatNumber, withUnit } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { formatPlayTime } from '../../formats/play-time.ts'
import { ariaKeysOf } from '../../keys/key-table.ts'
import { Button, namingKeys } from '../../parts/button.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { MessageLine } from '../../parts/notices/message-line.tsx'
import { LoopSign, PlaySign, StopSign } from '../../parts/signs.tsx'
import { type HeardKind, isSameTarget, nameOfTarget, sourceOf, targetOf } from '../../playback/heard.ts'
import { type Player, type Side, usePlayer, usePlayhead } from '../../playback/player.ts'
import { setComparing, useIsComparing } from '../../state/chain/heard-draft.ts'
import { findMissingTakes, useMissingInStack } from '../../state/missing-takes.ts'
import { useCurrentSession } from '../../state/queries.ts'
import { useSelection } from '../../state/selection.ts'
import { clearSolo, isLayerSoloed, useSolo } from '../../state/solo.ts'
import { setTried, useTried, useTriedStack } from '../../state/tried.ts'
import { LevelMeter } from './level-meter.tsx'
import { ListeningLevel } from './listening-level.tsx'
import { SeekLine } from './seek-line.tsx'
import { useTransportKeys } from './use-transport-keys.ts'
import './transport.css'

const KINDS: readonly HeardKind[] = ['stack', 'group', 'layer', 'take']

type SideNames = Readonly<Record<Exclude<Side, 'change'>, string>>
const WHOLE_SIDES: SideNames = { dry: 'Dry', processed: 'Processed' }
const COMPARED_SIDES: SideNames = { dry: 'Before', processed: 'After' }
const TRIED_SIDES: SideNames = { dry: 'Without', processed: 'With' }

let isPlayWanted = false
/** Focuses the play button as soon as there is something to play. */
export const focusPlayWhenReady = (): void => {
  isPlayWanted = true
}

export function Transport() {
  const player = usePlayer()
  const selection = useSelection()
  const contents = useCurrentSession().data
  const [chosenKind, setChosenKind] = useState<HeardKind>('stack')
  const isPlaying = player.status !== 'stopped'
  const isComparing = useIsComparing()
  const isTrying = useTried() !== null
  // During playback this is the kind of the current source, which a place may have started.
  const kind =
    isPlaying && player.source !== null
      ? player.source.target.kind
      : isComparing || isTrying
        ? 'take'
        : chosenKind
  const isTryingStack = useTriedStack() !== null
  const sides =
    kind === 'stack' && isTryingStack
      ? TRIED_SIDES
      : kind !== 'take'
        ? WHOLE_SIDES
        : isTrying
          ? TRIED_SIDES
          : isComparing
            ? COMPARED_SIDES
            : WHOLE_SIDES
  const targetFor = (wanted: HeardKind) =>
    isPlaying && player.source?.target.kind === wanted
      ? player.source.target
      : targetOf(wanted, selection, contents)
  const target = targetFor(kind) ?? targetFor('stack')
  // The target of the last playback may differ from the one that play would start now.
  const isLastHeard = player.source !== null && target !== null && isSameTarget(player.source.target, target)

  const toggle = (): void => {
    if (isPlaying) void player.stop()
    else if (target !== null) void player.play(sourceOf(target))
  }
  const choose = (wanted: HeardKind | null): void => {
    if (wanted === null) return
    setChosenKind(wanted)
    // Stages can only be compared on a take.
    if (wanted !== 'take' && isComparing) setComparing(false)
    if (wanted !== 'take') setTried(null)
    const next = targetFor(wanted)
    if (isPlaying && next !== null) void player.play(sourceOf(next))
  }
  useTransportKeys(toggle, player)
  const playButton = useRef<HTMLButtonElement>(null)
  useEffect(() => {
    if (!isPlayWanted || target === null) return
    isPlayWanted = false
    playButton.current?.focus()
  })

  return (
    <section className="transport" aria-label="Playback">
      <SeekLine player={player} />
      <div className="transport-row">
        <Button
          ref={playButton}
          className="transport-play"
          look="main"
          aria-label={isPlaying ? 'Stop' : 'Play'}
          aria-keyshortcuts={ariaKeysOf('play')}
          isDisabled={target === null}
          onPress={toggle}
        >
          {isPlaying ? <StopSign /> : <PlaySign />}
        </Button>
        <ToggleButton
          className="transport-toggle"
          aria-label="Loop"
          {...namingKeys(ariaKeysOf('loop'))}
          isSelected={player.isLooping}
          onChange={player.setLooping}
        >
          <LoopSign />
          <span className="transport-word">Loop</span>
        </ToggleButton>
        <Position player={player} session={contents?.session} />
        <Select
          label="Playback source"
          isLabelHidden
          className="transport-heard"
          items={KINDS.flatMap((item) => {
            const itemTarget = targetFor(item)
            return itemTarget === null ? [] : [{ key: item, name: nameOfTarget(itemTarget, contents) }]
          })}
          value={target === null ? null : target.kind}
          placeholder="Nothing to play"
          isDisabled={target === null}
          onChange={choose}
        />
        <ToggleButtonGroup
          className="transport-sides"
          aria-label={`${sides.dry}, ${sides.processed.toLowerCase()} or their difference`}
          aria-keyshortcuts={ariaKeysOf('sides')}
          selectionMode="single"
          disallowEmptySelection
          selectedKeys={[player.side]}
          onSelectionChange={(keys) => {
            for (const key of keys) player.setSide(key as Side)
          }}
        >
          <ToggleButton id="dry" className="transport-side">
            {sides.dry}
          </ToggleButton>
          <ToggleButton id="processed" className="transport-side">
            {sides.processed}
          </ToggleButton>
          <ToggleButton id="change" className="transport-side" {...namingKeys(ariaKeysOf('change'))}>
            Difference
          </ToggleButton>
        </ToggleButtonGroup>
        <ToggleButton
          className="transport-toggle"
          {...namingKeys(ariaKeysOf('mono'))}
          isSelected={player.isMono}
          onChange={player.setMono}
        >
          Mono
        </ToggleButton>
        <div className="transport-middle">
          {/* The readings of another session go with it. */}
          <LevelMeter key={contents?.session.id ?? 0} />
          <MessageLine>
            <Status player={player} sides={sides} contents={contents} isLastHeard={isLastHeard} />
          </MessageLine>
        </div>
        <ListeningLevel player={player} />
      </div>
    </section>
  )
}

function Position({ player, session }: { player: Player; session: Session | undefined }) {
  const frame = usePlayhead()
  const sampleRateHz = player.opened?.sampleRateHz ?? 48_000
  const base = session === undefined ? null : { ...timeBaseOf(session), sampleRateHz }
  const isTake = player.source?.target.kind === 'take'
  return (
    <div className="transport-position number">
      <span className="transport-time">{formatPlayTime(frame, sampleRateHz)}</span>
      <span className="transport-bars soft">
        {/* A take has no position in the song. */}
        {base === null || !hasTempo(base) || isTake ? '' : `bar ${formatBars(frame, base)}`}
      </span>
    </div>
  )
}

interface StatusProps {
  readonly player: Player
  readonly sides: SideNames
  readonly contents: SessionContents | undefined
  /** Whether the match is that of what play would start. */
  readonly isLastHeard: boolean
}

/** Dropouts, what is silent, what is only for listening, and how the two sides are matched. */
function Status({ player, sides, contents, isLastHeard }: StatusProps) {
  const solo = useSolo()
  const missing = useMissingInStack().length
  const layers = contents?.layers.filter((layer) => isLayerSoloed(solo, layer)).length ?? 0
  const words = [
    player.isMono ? 'mono, for listening only' : '',
    isLastHeard ? sentenceOfMatch(player, sides) : '',
  ].filter((word) => word !== '')
  return (
    <p className="message-words soft" aria-live="polite">
      {player.underruns === 0 ? null : (
        <span className="transport-underruns">
          {countOf(player.underruns, 'playback dropout')}
          {' · '}
        </span>
      )}
      {layers === 0 ? null : (
        <>
          <strong className="transport-solo">
            Solo: {layers} of {countOf(contents?.layers.length ?? 0, 'layer')}
          </strong>
          , not in a bounce
          <Button look="plain" className="transport-clear" aria-label="Clear solo" onPress={clearSolo}>
            Clear
          </Button>
          {words.length === 0 && missing === 0 ? '' : ' · '}
        </>
      )}
      {missing === 0 ? null : (
        <>
          <strong className="transport-solo">
            {missing === 1 ? '1 take is missing' : `${missing} takes are missing`}
          </strong>
          , silent
          <Button
            look="plain"
            className="transport-clear"
            aria-label="Find missing takes"
            onPress={() => findMissingTakes()}
          >
            Find…
          </Button>
          {words.length === 0 ? '' : ' · '}
        </>
      )}
      {/* The meter takes the line's room while it is empty. */}
      {words.length === 0 ? null : (
        <span title={isLastHeard && player.match !== null ? EQUAL_LOUDNESS : undefined}>
          {words.join(' · ')}
        </span>
      )}
    </p>
  )
}

/** Says how the two sides are matched in loudness. */
function sentenceOfMatch({ match, isMatching, opened, side }: Player, sides: SideNames): string {
  if (match === null)
    return isMatching ? 'measuring loudness…' : opened === null ? '' : 'not matched in loudness'
  return side === 'change' ? sentenceOfChange(match, sides) : sentenceOfGains(match, sides)
}

function sentenceOfChange({ differenceLu, changeDb }: MatchGains, sides: SideNames): string {
  const both = `${sides.dry.toLowerCase()} and ${sides.processed.toLowerCase()}`
  if (differenceLu === null) return 'too quiet to match in loudness'
  if (changeDb === null) return `${both} are the same apart from their level`
  const moved = withUnit(formatNumber(Math.abs(changeDb), 1), 'dB')
  return `only what differs between ${both} at equal loudness, ${changeDb < 0 ? 'lowered' : 'raised'} ${moved}`
}

function sentenceOfGains({ differenceLu, dryDb, processedDb }: MatchGains, sides: SideNames): string {
  if (differenceLu === null) return 'too quiet to match in loudness'
  const lowered = Math.min(dryDb, processedDb)
  if (lowered > -0.05)
    return `${sides.dry.toLowerCase()} and ${sides.processed.toLowerCase()} are equally loud where ${sides.dry.toLowerCase()} sounds`
  const side = (dryDb < processedDb ? sides.dry : sides.processed).toLowerCase()
  return `${side} lowered ${withUnit(formatNumber(-lowered, 1), 'dB')} for equal loudness where ${sides.dry.toLowerCase()} sounds`
}
