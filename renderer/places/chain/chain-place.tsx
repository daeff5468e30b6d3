// The Chain place: the voice as a river through its stages, and the settings of the selected stage.

import { useEffect, useLayoutEffect, useMemo, useState } from 'react'
import { isLayerStage } from '../../../app/contract/chain-document.ts'
import { usualStages } from '../../formats/chain/chain-rows.ts'
import { movedRanges, phrasesOf, spanWords, type TakePlace } from '../../formats/song/song-ranges.ts'
import { RecallLine } from '../../panels/session/recall-line.tsx'
import { VoicePage } from '../../panels/voice/voice-page.tsx'
import { Button } from '../../parts/button.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { BackSign, OnSign } from '../../parts/signs.tsx'
import { useSize } from '../../parts/use-size.ts'
import { type ChainDraft, followUsed, openStages, useDraftOf } from '../../state/chain/chain-draft.ts'
import { setComparing, useIsComparing } from '../../state/chain/heard-draft.ts'
import { useIsGroupMeasured } from '../../state/chain/measured-on.ts'
import { type OwnedChain, useChainOwner } from '../../state/chain/use-chain-owner.ts'
import { goTo, readSelection, selectGroup, selectTake } from '../../state/selection.ts'
import { focusOnReturn, showVoice, useVoiceDesk } from '../../state/voice-desk.ts'
import { AddStage } from './add-stage.tsx'
import { ChainHead } from './chain-head.tsx'
import { hearDraft } from './hear-draft.ts'
import { Heard, setFollowing, useHeardChain, useIsFollowing } from './river/heard-chain.tsx'
import { JointLabels, JointNumbers } from './river/joint-numbers.tsx'
import { JointTable } from './river/joint-table.tsx'
import { type MeasuredChain, type MeasuredRow, unmeasured } from './river/match-measurement.ts'
import { River, RiverKey, StrandsIn, StrandsOut } from './river/river.tsx'
import { courseOf } from './river/river-course.ts'
import {
  type ChainMeasuring,
  type MeasuredThing,
  measuredKey,
  useChainMeasurement,
} from './river/use-chain-measurement.ts'
import { showSong, useIsSongShown, useSongDesk } from './song/song-desk.ts'
import { SongSection } from './song/song-section.tsx'
import { followStageCompare, toggleStageCompare } from './stages/stage-compare.ts'
import { StageHeads, StageHeadsHelp } from './stages/stage-heads.tsx'
import { StagePanel } from './stages/stage-panel.tsx'
import { useMoreBeside } from './use-more-beside.ts'
import { useWindowHeight } from './use-window-height.ts'
import './chain.css'

/** Heights in a window 800 px high; the river and the plot grow and shrink with it, within limits. */
const USUAL_WINDOW_PX = 800
const RIVER_PX = 164
const PLOT_PX = 214
/** With the song between them, so that the whole plot is in sight; the river keeps the room of its six labels. */
const RIVER_BY_SONG_PX = 120
const PLOT_BY_SONG_PX = 112
const MAX_GROWTH_PX = 180
const MAX_SHRINKING_PX = 36
/** Widths of the fixed columns: strand names on the left, resulting levels on the right. */
const LEFT_PX = 132
const RIGHT_PX = 96
/** Gap between these columns and the stages, for the leader lines. */
const PAD_PX = 24
const NARROWEST_COLUMN_PX = 106

export function ChainPlace() {
  const owned = useChainOwner()
  const isVoiceShown = useVoiceDesk().open.chain
  const { owner, used } = owned ?? { owner: null, used: null }
  const draft = useDraftOf(owner)
  const sessionId = owner?.sessionId
  const groupId = owner?.groupId
  const ownerName = owner?.name

  // In a layout effect, so that no frame is painted without stages.
  useLayoutEffect(() => {
    if (sessionId === undefined || groupId === undefined || ownerName === undefined) return
    followUsed({ owner: { sessionId, groupId, name: ownerName }, used })
  }, [sessionId, groupId, ownerName, used])
  // The group and take shown by default become the selection, which the transport plays.
  const lookedAtGroupId = owned?.group?.id ?? null
  const lookedAtTakeId = owned?.take?.id ?? null
  useEffect(() => {
    if (lookedAtGroupId !== null && readSelection().groupId !== lookedAtGroupId) selectGroup(lookedAtGroupId)
    if (lookedAtTakeId !== null && readSelection().takeId !== lookedAtTakeId) selectTake(lookedAtTakeId)
  }, [lookedAtGroupId, lookedAtTakeId])
  useEffect(() => {
    const stopHearing = hearDraft()
    const stopFollowing = followStageCompare()
    return () => {
      setComparing(false)
      stopHearing()
      stopFollowing()
    }
  }, [])
  if (owned === null) {
    return (
      <EmptyState title="No session is open">
        <p>Open or create a session to see its chains.</p>
      </EmptyState>
    )
  }
  if (draft === null) return null
  return (
    <div className="chain-place">
      <ChainHead owned={owned} draft={draft} />
      {isVoiceShown && owned.take !== null ? (
        <VoicePage place="chain" contents={owned.contents} take={owned.take} />
      ) : draft.rows.length === 0 ? (
        <EmptyState title={`${owned.owner.name} has no chain yet`}>
          <p>
            Start from the usual order of a vocal chain: low-cut, tone, de-ess, drive, opto, ceiling. Or
            choose a saved chain of this voice above.
          </p>
          <RecallLine contents={owned.contents} />
          <Button
            look="main"
            onPress={() =>
              openStages(draft.owner, 'start from the usual order', usualStages(), draft.version)
            }
          >
            Start from the usual order
          </Button>
          <Button
            ref={(button) => focusOnReturn('chain', button)}
            isDisabled={owned.take === null}
            onPress={() => showVoice('chain', true)}
          >
            Start from this voice
          </Button>
          <AddStage draft={draft} />
        </EmptyState>
      ) : (
        <ChainScore owned={owned} draft={draft} />
      )}
    </div>
  )
}

function ChainScore({ owned, draft }: { owned: OwnedChain; draft: ChainDraft }) {
  const { rows, selectedKey } = draft
  const isComparing = useIsComparing()
  const takeId = owned.take?.id ?? null
  const isGroup = useIsGroupMeasured(owned)
  const thing = useMemo(
    () => thingOf(isGroup ? (owned.group?.id ?? null) : null, takeId),
    [isGroup, owned.group, takeId],
  )
  const of = measuredKey(thing)
  const { range } = useSongDesk(of)
  const measuring = useChainMeasurement(thing, owned.take, rows, range)
  const place = usePlace(owned, isGroup ? measuring.startFrame : null)
  const phrases = useMemo(() => {
    const ofTake = owned.take === null ? [] : phrasesOf(owned.take)
    return isGroup
      ? movedRanges(ofTake, (place.takeFrame ?? 0) - place.offsetFrames, place.sampleRateHz)
      : ofTake
  }, [owned.take, isGroup, place])
  const isSongShown = useIsSongShown()
  const [pointedKey, setPointedKey] = useState<number | null>(null)
  const [showsTable, setShowsTable] = useState(false)
  const [frame, { width }] = useSize<HTMLDivElement>()
  const more = useMoreBeside(frame)

  const hasSong = isSongShown && owned.take !== null && measuring.song !== null
  const growthPx = Math.round(
    Math.min(
      MAX_GROWTH_PX,
      Math.max(hasSong ? 0 : -MAX_SHRINKING_PX, (useWindowHeight() - USUAL_WINDOW_PX) * 0.48),
    ),
  )
  const riverHeightPx = (hasSong ? RIVER_BY_SONG_PX : RIVER_PX) + growthPx
  const columnPx = Math.max(NARROWEST_COLUMN_PX, Math.floor((width - 2 * PAD_PX) / rows.length))
  const jointsX = Array.from({ length: rows.length + 1 }, (_, k) => PAD_PX + k * columnPx)
  const riverPx = rows.length * columnPx + 2 * PAD_PX
  const layerStages = rows.filter(({ stage }) => isLayerStage(stage)).length
  const selected = rows.findIndex(({ key }) => key === selectedKey)
  const pointed = rows.findIndex(({ key }) => key === pointedKey)
  const shown = pointed !== -1 ? pointed : selected
  const { first } = measuring
  const figures = first?.chain ?? measuring.chain
  const chain = figures ?? unmeasured(rows.length)
  const scrollBy = (columns: number): void => frame.current?.scrollBy({ left: columns * columnPx })
  useHeardChain(measuring.chain, measuring.song, place)
  const isFollowing = useIsFollowing()
  const heardProps = { chain, song: measuring.song, heightPx: riverHeightPx }

  return (
    <>
      <section
        className="score"
        aria-label="Stages and levels between them"
        data-part={first === null ? undefined : true}
      >
        <div
          className="score-frame"
          style={{ gridTemplateColumns: `${LEFT_PX}px minmax(0, 1fr) ${RIGHT_PX}px` }}
        >
          <div className="score-side" data-more={more.left || undefined}>
            {more.left ? (
              <Button
                className="score-more"
                look="sign"
                aria-label="Show earlier stages"
                onPress={() => scrollBy(-3)}
              >
                <BackSign />
              </Button>
            ) : null}
            <Heard {...heardProps}>
              {(now, scale) => (
                <StrandsIn
                  course={courseOf(now, jointsX, riverHeightPx, scale)}
                  widthPx={LEFT_PX}
                  of={now.ofInput}
                />
              )}
            </Heard>
            <JointLabels />
          </div>
          <div className="score-scroll" ref={frame}>
            <div className="score-page" style={{ width: riverPx, paddingInline: PAD_PX }}>
              <StageHeads draft={draft} chain={figures} columnPx={columnPx} onPoint={setPointedKey} />
              <div className="score-river" style={{ marginInline: -PAD_PX }}>
                {shown === -1 ? null : (
                  <div className="score-column" style={{ left: jointsX[shown], width: columnPx }} />
                )}
                <Heard {...heardProps}>
                  {(now, scale) => (
                    <>
                      <River
                        chain={now}
                        course={courseOf(now, jointsX, riverHeightPx, scale)}
                        widthPx={riverPx}
                        shown={shown === -1 ? null : shown}
                        sumJoint={layerStages === 0 ? null : layerStages}
                      />
                      <JointNumbers chain={now} jointsX={jointsX} />
                    </>
                  )}
                </Heard>
              </div>
            </div>
          </div>
          <div className="score-side" data-more={more.right || undefined}>
            {more.right ? (
              <Button
                className="score-more"
                look="sign"
                aria-label="Show later stages"
                onPress={() => scrollBy(3)}
              >
                <OnSign />
              </Button>
            ) : null}
            <Heard {...heardProps}>
              {(now, scale) => (
                <StrandsOut
                  course={courseOf(now, jointsX, riverHeightPx, scale)}
                  widthPx={RIGHT_PX}
                  of={now.rows.at(-1)?.ofJoint ?? now.ofInput}
                />
              )}
            </Heard>
          </div>
        </div>
        <StageHeadsHelp />
        <div className="score-foot">
          {figures === null ? <span /> : <RiverKey chain={figures} heightPx={riverHeightPx} />}
          <span className="measuring" role="status" title={measuring.failure ?? undefined}>
            {stateOf(measuring, owned, place)}
          </span>
          <AddStage draft={draft} />
          <Checkbox label="Follow what plays" isSelected={isFollowing} onChange={setFollowing}>
            Follow
          </Checkbox>
          <Button
            className="score-table-button"
            look="plain"
            aria-expanded={isSongShown}
            onPress={() => showSong(!isSongShown)}
          >
            {isSongShown ? 'Hide song' : 'Show song'}
          </Button>
          <Button
            className="score-table-button"
            look="plain"
            aria-expanded={showsTable}
            onPress={() => setShowsTable(!showsTable)}
          >
            {showsTable ? 'Hide table' : 'Show table'}
          </Button>
        </div>
      </section>
      {of === null || measuring.song === null || !isSongShown ? null : (
        <SongSection
          // Another take has another song; the number alone may be that of the stage below.
          key={`song ${of}`}
          of={of}
          wholeName={isGroup ? 'Whole song' : 'Whole take'}
          phrases={phrases}
          song={measuring.song}
          // Tells which lanes are old; those are always of the whole take.
          chain={measuring.chain ?? unmeasured(rows.length)}
          rowKeys={rows.map(({ key }) => key)}
          place={place}
          sections={owned.contents.sections}
          leftPx={LEFT_PX + PAD_PX}
          rightPx={RIGHT_PX + PAD_PX}
        />
      )}
      {measuring.isTooLong ? (
        <p className="song-long">
          {isGroup ? 'This song' : 'This take'} is too long to be shown along the song.
        </p>
      ) : null}
      {showsTable && figures !== null ? (
        <JointTable chain={figures} rows={rows} part={first === null ? null : spanWords(place, first.part)} />
      ) : null}
      {selected === -1 ? null : (
        <StagePanel
          key={rows[selected].key}
          owner={draft.owner}
          row={rows[selected]}
          of={of}
          index={selected}
          takeId={takeId}
          isOfPart={first !== null}
          isComparing={isComparing}
          onCompare={() => toggleStageCompare(owned)}
          sampleRateHz={owned.contents.session.sampleRateHz}
          measured={figures === null ? null : measuredOf(figures.rows[selected])}
          song={measuring.song}
          range={range}
          plotPx={(hasSong ? PLOT_BY_SONG_PX : PLOT_PX) + growthPx}
        />
      )}
    </>
  )
}

const thingOf = (groupId: number | null, takeId: number | null): MeasuredThing | null =>
  groupId !== null ? { kind: 'group', groupId } : takeId !== null ? { kind: 'take', takeId } : null

/** Whether the figures are of settings before the last change. */
const isOld = ({ ofInput, rows }: MeasuredChain): boolean =>
  ofInput !== 'measured' || rows.some(({ ofJoint }) => ofJoint !== 'measured')

/**
 * Where what is measured lies: a take where its first layer in the group has it, else in the session.
 * @param startFrame session frame at which a measured group begins; null for a take
 */
function usePlace({ contents, group, take }: OwnedChain, startFrame: number | null): TakePlace {
  const { sampleRateHz } = contents.session
  const layers = contents.layers.filter(({ takeId }) => takeId === take?.id)
  const layer = layers.find(({ groupId }) => groupId === group?.id) ?? layers[0]
  const offsetFrames = layer?.offsetSamples ?? 0
  return useMemo(
    () =>
      startFrame === null
        ? { sampleRateHz, offsetFrames }
        : { sampleRateHz, offsetFrames: startFrame, takeFrame: offsetFrames },
    [sampleRateHz, offsetFrames, startFrame],
  )
}

/** null for a stage without figures of its own. */
const measuredOf = (row: MeasuredRow): MeasuredRow | null => (row.ofStage === 'unknown' ? null : row)

function stateOf(
  { chain, first, isMeasuring, failure }: ChainMeasuring,
  { take }: OwnedChain,
  place: TakePlace,
) {
  if (take === null) {
    return (
      <>
        No take is placed here, so nothing is measured.{' '}
        <Button look="plain" onPress={() => goTo('stack')}>
          Go to Stack
        </Button>
      </>
    )
  }
  if (isMeasuring && first !== null && !isOld(first.chain))
    return `from ${spanWords(place, first.part)} only; measuring the whole take…`
  if (isMeasuring) return chain === null ? 'measuring…' : 'measuring again…'
  return failure ?? ''
}
