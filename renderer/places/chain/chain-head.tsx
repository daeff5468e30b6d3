// The head of the Chain place: the group, the take that is measured, the chain and its version,
// and the actions on the chain.

import { useQuery } from '@tanstack/react-query'
import { useRef, useState } from 'react'
import { Menu, MenuItem, MenuTrigger, Popover } from 'react-aria-components'
import type { ChainVersion } from '../../../app/contract/entities.ts'
import { formatMoment, formatTimeOfDay, isoDateOf } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { stagesOf, usualStages } from '../../formats/chain/chain-rows.ts'
import { byNewest, newestVersion, versionNumber } from '../../formats/chain/version-words.ts'
import { ariaKeysOf, keyActOf } from '../../keys/key-table.ts'
import { isOverlaid } from '../../keys/key-target.ts'
import { useKeyDown } from '../../keys/use-key-down.ts'
import { BounceDialog } from '../../panels/bounce/bounce-dialog.tsx'
import { useMixKey } from '../../panels/bounce/use-mix-key.ts'
import { ByEarDialog } from '../../panels/by-ear/by-ear-dialog.tsx'
import { takeTarget } from '../../panels/by-ear/ear-target.ts'
import { SaveDialog, setOnOwner } from '../../panels/save-chain/save-dialog.tsx'
import { Button } from '../../parts/button.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { MoreSign } from '../../parts/signs.tsx'
import { type ChainDraft, isChanged, openStages } from '../../state/chain/chain-draft.ts'
import type { ChainOwner } from '../../state/chain/chain-owner.ts'
import { discardDraft, useKeptDraft } from '../../state/chain/kept-drafts.ts'
import { isGroupMeasurable, measureOn, useIsGroupMeasured } from '../../state/chain/measured-on.ts'
import type { OwnedChain } from '../../state/chain/use-chain-owner.ts'
import { client } from '../../state/connection.ts'
import { attempt, remark, reportFailure } from '../../state/notices.ts'
import { chainsQuery, chainVersionsQuery } from '../../state/queries.ts'
import { saveFile } from '../../state/save-file.ts'
import { selectGroup, selectTake } from '../../state/selection.ts'
import { focusOnReturn, showVoice } from '../../state/voice-desk.ts'
import { chainFileOf, readChainFile } from './chain-files.ts'
import { CompareDialog } from './compare-dialog.tsx'
import { RivalLine } from './rival-line.tsx'

/** Among the ids of takes, which begin at 1. */
const WHOLE_GROUP = 0

const layersInWords = ({ contents, group }: OwnedChain): string =>
  countOf(contents.layers.filter((one) => one.groupId === group?.id && !one.muted).length, 'layer')

const openVersion = (owner: ChainOwner, version: ChainVersion): void =>
  openStages(owner, `open ${version.chainName} version ${versionNumber(version)}`, version.stages, version)

export function ChainHead({ owned, draft }: { owned: OwnedChain; draft: ChainDraft }) {
  const { contents, owner, group, takes, take, voice } = owned
  const { version } = draft
  const isGroup = useIsGroupMeasured(owned)
  const [dialog, setDialog] = useState<'save' | 'compare' | 'ear' | 'bounce' | null>(null)
  const filePicker = useRef<HTMLInputElement>(null)
  const chains = useQuery({ ...chainsQuery(voice?.id), enabled: voice !== null }).data ?? []
  const kept =
    useQuery({ ...chainVersionsQuery(version?.chainId ?? 0), enabled: version !== null }).data ?? []
  const versions = [...kept].sort(byNewest)
  const hasChanges = isChanged(draft)
  const isUsed = version !== null && version.id === draft.usedVersionId
  const canSave = hasChanges && voice !== null

  useKeyDown((event) => {
    if (keyActOf(event, 'chain') !== 'save') return
    event.preventDefault()
    if (!canSave || isOverlaid(event.target)) return
    // Leaving the field applies a pending edit.
    if (document.activeElement instanceof HTMLElement) document.activeElement.blur()
    setDialog('save')
  })

  useMixKey('bounce', contents.layers.length > 0, () => setDialog('bounce'))

  const openChain = async (chainId: number): Promise<void> => {
    const newest = await attempt('The chain could not be opened', async () =>
      newestVersion(await client.listChainVersions({ chainId })),
    )
    if (newest !== undefined) openVersion(owner, newest)
  }
  const importFile = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return
    try {
      const chain = await readChainFile(file)
      openStages(owner, `open ${file.name}`, chain.stages, version)
      remark(`${chain.name} is open`, 'Save it to keep it as a version of this voice.')
    } catch (error) {
      reportFailure('The chain file was not opened', error)
    }
  }
  const act = (key: string | number): void => {
    if (key === 'compare' || key === 'ear') setDialog(key)
    else if (key === 'import') filePicker.current?.click()
    else if (key === 'export') {
      const name = version === null ? `${owner.name} chain` : `${version.chainName} ${version.number}`
      void saveFile(name, () => chainFileOf(name, stagesOf(draft.rows)))
    } else if (key === 'voice') showVoice('chain', true)
    else if (key === 'usual') openStages(owner, 'start from the usual order', usualStages(), version)
  }

  return (
    <>
      <header className="chain-head">
        <span className="chain-head-word">{owner.groupId === null ? 'Shared chain, group' : 'Group'}</span>
        <Select
          className="chain-head-group"
          label="Group"
          isLabelHidden
          items={contents.groups.map(({ id, name }) => ({ key: id, name }))}
          value={group?.id ?? null}
          onChange={selectGroup}
        />
        <span className="chain-head-word">measured on</span>
        <Select
          className="chain-head-take"
          label="Measured on"
          isLabelHidden
          placeholder="No take placed"
          items={[
            ...(isGroupMeasurable(owned)
              ? [{ key: WHOLE_GROUP, name: 'Group in this session', detail: layersInWords(owned) }]
              : []),
            ...takes.map(({ id, name }) => ({ key: id, name })),
          ]}
          value={isGroup ? WHOLE_GROUP : (take?.id ?? null)}
          onChange={(key) => {
            measureOn(key === WHOLE_GROUP ? 'group' : 'take')
            if (key !== WHOLE_GROUP) selectTake(key)
          }}
          isDisabled={takes.length === 0}
        />
        <span className="chain-head-word">chain</span>
        <Select
          className="chain-head-chain"
          label={voice === null ? 'Chain' : `Chain of the voice ${voice.name}`}
          isLabelHidden
          placeholder={chains.length === 0 ? 'No saved chains' : 'Choose a chain'}
          items={chains.map(({ id, name }) => ({ key: id, name }))}
          value={version?.chainId ?? null}
          onChange={(id) => {
            if (id !== null && id !== version?.chainId) void openChain(id)
          }}
          isDisabled={chains.length === 0}
        />
        <Select
          className="chain-head-version"
          label="Version"
          isLabelHidden
          placeholder="Not saved"
          items={versions.map((item) => ({
            key: item.id,
            name: `Version ${versionNumber(item)}`,
            detail: [
              ...(item.id === draft.usedVersionId ? ['in use'] : []),
              // Whose it is tells two of one number apart.
              ...(item.sharesNumber ? [item.machineName] : []),
              formatMoment(item.createdAt),
              ...(item.note === '' ? [] : [item.note]),
            ].join(', '),
          }))}
          value={version?.id ?? null}
          onChange={(id) => {
            const chosen = versions.find((item) => item.id === id)
            if (chosen !== undefined && (chosen.id !== version?.id || hasChanges)) openVersion(owner, chosen)
          }}
          isDisabled={version === null}
        />
        {hasChanges ? (
          <DraftState draft={draft} newest={versions[0] ?? null} />
        ) : (
          <span className="chain-state" role="status">
            {isUsed ? 'saved, in use' : version === null ? '' : 'not in use'}
          </span>
        )}
        <div className="chain-head-acts">
          {/* Always there, so that nothing shifts with the first edit. */}
          <Button look="plain" isDisabled={!hasChanges} onPress={() => discardDraft(owner)}>
            Discard
          </Button>
          {!hasChanges && version !== null && !isUsed ? (
            <Button
              look="main"
              onPress={() =>
                void attempt('The version could not be used', () => setOnOwner(owner, version.id))
              }
            >
              Use version {versionNumber(version)}
            </Button>
          ) : (
            <Button
              look="main"
              isDisabled={!canSave}
              aria-keyshortcuts={ariaKeysOf('save')}
              onPress={() => setDialog('save')}
            >
              Save
            </Button>
          )}
          <MenuTrigger>
            <Button
              aria-label="More for this chain"
              look="sign"
              // For an empty chain, the page below has its own button to the voice page; that gets the focus.
              ref={draft.rows.length === 0 ? undefined : (button) => focusOnReturn('chain', button)}
            >
              <MoreSign />
            </Button>
            <Popover className="popover" placement="bottom end">
              <Menu
                className="list-box"
                onAction={act}
                disabledKeys={[
                  ...(versions.length === 0 ? ['compare'] : []),
                  ...(take === null ? ['voice'] : []),
                  ...(take === null || voice === null ? ['ear'] : []),
                ]}
              >
                <MenuItem className="list-item" id="compare">
                  Compare versions
                </MenuItem>
                <MenuItem className="list-item" id="ear">
                  Compare by ear
                </MenuItem>
                <MenuItem className="list-item" id="import">
                  Import chain file
                </MenuItem>
                <MenuItem className="list-item" id="export">
                  Export chain file
                </MenuItem>
                <MenuItem className="list-item" id="usual">
                  Start from the usual order
                </MenuItem>
                <MenuItem className="list-item" id="voice">
                  Start from this voice
                </MenuItem>
              </Menu>
            </Popover>
          </MenuTrigger>
          <input
            ref={filePicker}
            type="file"
            accept=".json,application/json"
            className="visually-hidden"
            tabIndex={-1}
            aria-hidden="true"
            onChange={(event) => {
              void importFile(event.target.files?.[0])
              event.target.value = ''
            }}
          />
        </div>
        {dialog === 'save' && voice !== null ? (
          <SaveDialog draft={draft} voice={voice} onClose={() => setDialog(null)} />
        ) : null}
        {dialog === 'compare' ? (
          <CompareDialog draft={draft} versions={versions} onClose={() => setDialog(null)} />
        ) : null}
        {dialog === 'ear' && take !== null && voice !== null ? (
          <ByEarDialog
            target={takeTarget(take, contents.session.sampleRateHz)}
            voiceId={voice.id}
            current={stagesOf(draft.rows)}
            from={version}
            onClose={() => setDialog(null)}
          />
        ) : null}
        {dialog === 'bounce' ? <BounceDialog contents={contents} onClose={() => setDialog(null)} /> : null}
      </header>
      <RivalLine draft={draft} />
    </>
  )
}

/** Two short lines in place of one, so that the head keeps its height. */
function DraftState({ draft, newest }: { draft: ChainDraft; newest: ChainVersion | null }) {
  const { version, owner } = draft
  const { readFrom } = useKeptDraft(owner)
  const isBehind = version !== null && newest !== null && newest.id !== version.id
  const from =
    version === null
      ? 'never saved'
      : isBehind
        ? `from version ${versionNumber(version)} of ${versionNumber(newest)}`
        : `from version ${versionNumber(version)}`
  return (
    <span
      className="chain-state chain-draft"
      role="status"
      title={`Kept until you save or discard it${readFrom === null ? '' : `; last changed ${formatMoment(readFrom)}`}.`}
    >
      <span>{readFrom === null ? 'Draft' : `Draft of ${shortMomentOf(readFrom)}`}</span>
      <span className="chain-draft-from">{from}</span>
    </span>
  )
}

/** The time of day; for other days than today the date. */
const shortMomentOf = (iso: string): string =>
  isoDateOf(iso) === isoDateOf(new Date().toISOString())
    ? formatTimeOfDay(iso)
    : new Date(iso).toLocaleDateString(undefined, { day: 'numeric', month: 'short' })
