// The recall sheet: one session on paper, with its layers, takes, mics, chains with all settings,
// and bounces.

import { useQuery } from '@tanstack/react-query'
import type { ReactNode } from 'react'
import type { ChainVersion, Group, SessionContents } from '../../../app/contract/entities.ts'
import { formatBars, hasTempo, tempoWords, timeBaseOf } from '../../../app/words/bars/bar-words.ts'
import {
  formatChannels,
  formatDate,
  formatDuration,
  formatFile,
  formatGain,
  formatLevel,
  formatMoment,
  formatPan,
  formatRate,
} from '../../../app/words/format.ts'
import { layerStateWords } from '../../../app/words/layers.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { versionNumber } from '../../formats/chain/version-words.ts'
import { formatOffset } from '../../formats/stack/offset-units.ts'
import { PAN_LAW_ITEMS } from '../../panels/session/new-session-dialog.tsx'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { bridge } from '../../state/connection.ts'
import { attempt } from '../../state/notices.ts'
import {
  bouncesQuery,
  curvesQuery,
  micsQuery,
  sessionContentsQuery,
  voicesQuery,
  workplaceQuery,
} from '../../state/queries.ts'
import { BounceLevels } from './bounce-levels.tsx'
import { ChainSettings } from './versions/chain-settings.tsx'
import './recall-sheet.css'

/** A dialog that shows the recall sheet of a session and prints it. */
export function RecallSheet({ sessionId, onClose }: { sessionId: number; onClose: () => void }) {
  const { data, error } = useQuery(sessionContentsQuery(sessionId))
  return (
    <Dialog title="Recall sheet" isOpen onClose={onClose} width="page">
      <DialogFailure message={error?.message ?? null} />
      {data === undefined ? null : <Sheet contents={data} />}
      <DialogButtons>
        <Button onPress={onClose}>Close</Button>
        <Button
          look="main"
          isDisabled={data === undefined}
          onPress={() => void attempt('Could not print the recall sheet', bridge.print)}
        >
          Print
        </Button>
      </DialogButtons>
    </Dialog>
  )
}

function Sheet({ contents }: { contents: SessionContents }) {
  const { session, takes } = contents
  const workplace = useQuery(workplaceQuery).data
  const bounces = useQuery(bouncesQuery({ sessionId: session.id })).data ?? []
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scroll area has to be reachable by keyboard
    <article className="recall-sheet" aria-label={`Recall sheet of ${session.songTitle}`} tabIndex={0}>
      <header className="recall-head">
        <h3>{session.songTitle}</h3>
        <p>
          {session.artistName}, {formatDate(session.date)}
        </p>
      </header>
      <dl className="recall-facts">
        <Fact name="Sample rate">{formatRate(session.sampleRateHz)}</Fact>
        <Fact name="Tempo">{tempoWords(session)}</Fact>
        <Fact name="Pan law">
          {PAN_LAW_ITEMS.find(({ key }) => key === session.panLaw)?.name} at the centre
        </Fact>
        <Fact name="Chains">
          {session.chainSharing === 'shared'
            ? 'one shared chain, driven by the whole stack'
            : 'one per group'}
        </Fact>
      </dl>
      {session.notes === '' ? null : <p className="recall-notes">{session.notes}</p>}
      <LayerTable contents={contents} />
      <TakeTable contents={contents} />
      <section>
        <h4>Chains</h4>
        {chainsOf(contents).map(({ of, version }) => (
          <section key={version?.id ?? 0} className="recall-chain">
            <h5>
              {of}
              {version === null ? ': no chain' : `: ${version.chainName}, version ${versionNumber(version)}`}
            </h5>
            {version === null ? null : <ChainSettings version={version} />}
          </section>
        ))}
      </section>
      {bounces[0] === undefined ? null : <BounceLevels bounce={bounces[0]} contents={contents} />}
      <section>
        <h4>Bounces</h4>
        {bounces.length === 0 ? <p>No bounces yet.</p> : null}
        <ul>
          {bounces.map((bounce) => (
            <li key={bounce.id}>
              {formatMoment(bounce.createdAt)}, {countOf(bounce.stems, 'stem')}: {bounce.manifestPath}
            </li>
          ))}
        </ul>
      </section>
      <footer className="soft">
        {countOf(takes.length, 'take')} in the session. Takeloft {workplace?.programVersion ?? ''},{' '}
        {formatMoment(new Date().toISOString())}.
      </footer>
    </article>
  )
}

const Fact = ({ name, children }: { name: string; children: ReactNode }) => (
  <div>
    <dt>{name}</dt>
    <dd>{children}</dd>
  </div>
)

/** Each chain once, with the groups that use it; what has no chain comes last. */
function chainsOf({ session, groups, chainVersions }: SessionContents): {
  readonly of: string
  readonly version: ChainVersion | null
}[] {
  const versionOf = (id: number | null): ChainVersion | null =>
    chainVersions.find((version) => version.id === id) ?? null
  if (session.chainSharing === 'shared')
    return [{ of: 'All groups', version: versionOf(session.sharedChainVersionId) }]
  const byVersion = Map.groupBy(groups, (group) => versionOf(group.chainVersionId))
  return [...byVersion]
    .map(([version, users]) => ({ of: users.map(({ name }) => name).join(', '), version }))
    .sort((one, other) => Number(one.version === null) - Number(other.version === null))
}

function LayerTable({ contents: { session, groups, layers, takes } }: { contents: SessionContents }) {
  const base = timeBaseOf(session)
  const bars = hasTempo(base) ? base : null
  const inOrder = groups.flatMap((group) =>
    layers.filter((layer) => layer.groupId === group.id).map((layer) => ({ group, layer })),
  )
  return (
    <section>
      <h4>Layers</h4>
      {inOrder.length === 0 ? <p>No layers.</p> : null}
      <table>
        <thead>
          <tr>
            <th>Group</th>
            <th>Layer</th>
            <th>Role</th>
            <th>Take</th>
            {bars === null ? null : <th className="number">Bar</th>}
            <th className="number">Offset</th>
            <th className="number">Samples</th>
            <th className="number">Gain</th>
            <th className="number">Pan</th>
          </tr>
        </thead>
        <tbody>
          {inOrder.map(({ group, layer }) => (
            <tr key={layer.id}>
              <td>{groupWords(group)}</td>
              <td>
                {layer.name}
                {layerStateWords(layer)}
              </td>
              <td>{layer.role}</td>
              <td>{takes.find((take) => take.id === layer.takeId)?.name}</td>
              {bars === null ? null : <td className="number">{formatBars(layer.offsetSamples, bars)}</td>}
              <td className="number">{formatOffset(layer.offsetSamples, 'ms', base)}</td>
              <td className="number">{formatOffset(layer.offsetSamples, 'samples', base)}</td>
              <td className="number">{formatGain(layer.gainDb)}</td>
              <td className="number">{formatPan(layer.pan)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}

const groupWords = ({ name, gainDb }: Group): string =>
  gainDb === 0 ? name : `${name}, output ${formatGain(gainDb)}`

function TakeTable({ contents: { session, takes, layers } }: { contents: SessionContents }) {
  const mics = useQuery(micsQuery).data ?? []
  const curves = useQuery(curvesQuery).data ?? []
  const voices = useQuery(voicesQuery(session.artistId)).data ?? []
  const micWords = (micId: number | null, curveId: number | null): string => {
    const mic = mics.find((one) => one.id === micId)
    if (mic === undefined) return 'not set'
    const serial = mic.serial === '' ? '' : `, serial ${mic.serial}`
    return `${mic.name}${serial}, ${curves.find((one) => one.id === curveId)?.name ?? 'no curve'}`
  }
  return (
    <section>
      <h4>Takes</h4>
      <table>
        <thead>
          <tr>
            <th>Take</th>
            <th>Voice</th>
            <th>Mic, curve</th>
            <th>File</th>
            <th className="number">Length</th>
            <th className="number">Loudness</th>
            <th>SHA-256</th>
          </tr>
        </thead>
        <tbody>
          {takes.map((take) => (
            <tr key={take.id}>
              <td>
                {take.name}
                {layers.some((layer) => layer.takeId === take.id) ? null : (
                  <span className="recall-unused"> not used</span>
                )}
              </td>
              <td>{voices.find((voice) => voice.id === take.voiceId)?.name ?? 'not set'}</td>
              <td>{micWords(take.micId, take.curveId)}</td>
              <td>
                {formatFile(take)}, {formatRate(take.sampleRateHz)} {formatChannels(take.channels)}
              </td>
              <td className="number">{formatDuration(take.frames / take.sampleRateHz)}</td>
              <td className="number">{formatLevel(take.facts.integratedLufs, 'LUFS')}</td>
              <td className="recall-hash">{take.sha256.slice(0, 12)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}
