// Carries a chain to another mic: choice of chain, version and both curves.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import type { CurveRecord, Mic } from '../../../app/contract/entities.ts'
import { newestVersion, versionNumber } from '../../formats/chain/version-words.ts'
import { EmptyState } from '../../parts/empty-state.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { client } from '../../state/connection.ts'
import { chainsQuery, chainVersionsQuery, useCurrentSession, voicesQuery } from '../../state/queries.ts'
import { Carried } from './carried.tsx'
import { curveItems, micNameOf } from './curves/curve-words.ts'
import { changeCarry, useMicsState } from './curves/mics-state.ts'
import { useTakeCurve } from './curves/take-curve.ts'

export interface CarryViewProps {
  readonly mics: readonly Mic[]
  readonly curves: readonly CurveRecord[]
}

/**
 * Chain, version and the two curves, as selected. By default, the chain, its version and the first curve
 * are those of the current session, and the second curve is the oldest of any other mic.
 */
function useCarried(curves: readonly CurveRecord[]) {
  const { carry } = useMicsState()
  const chains = useQuery(chainsQuery(undefined)).data ?? []
  const voices = useQuery(voicesQuery(undefined)).data ?? []
  const contents = useCurrentSession().data
  const { curve: takeCurve } = useTakeCurve(curves)
  const used = contents?.chainVersions[0]
  const chainId = carry.chainId ?? used?.chainId ?? chains[0]?.id ?? null
  const versions = useQuery({ ...chainVersionsQuery(chainId ?? 0), enabled: chainId !== null }).data ?? []
  const newest = newestVersion(versions)
  const version =
    versions.find(({ id }) => id === carry.versionId) ??
    (chainId === used?.chainId ? versions.find(({ id }) => id === used?.id) : undefined) ??
    newest
  const ofMics = curves.filter(({ micId }) => micId !== null)
  const from = ofMics.find(({ id }) => id === carry.fromId) ?? takeCurve ?? ofMics[0]
  const to =
    ofMics.find(({ id }) => id === carry.toId) ??
    ofMics
      .filter(({ micId }) => micId !== from?.micId)
      .reduce<CurveRecord | undefined>(
        (oldest, one) => (oldest && oldest.id < one.id ? oldest : one),
        undefined,
      )
  return { carry, chains, voices, versions, chainId, version, ofMics, from, to, contents }
}

/** The Carry tab: a chain, a version and two curves, then the carried chain. */
export function CarryView({ mics, curves }: CarryViewProps) {
  const { carry, chains, voices, versions, chainId, version, ofMics, from, to, contents } = useCarried(curves)
  const sampleRateHz = contents?.session.sampleRateHz ?? 48_000
  const limits = {
    ...(carry.maxBoostDb === null ? {} : { maxBoostDb: carry.maxBoostDb }),
    ...(carry.maxCutDb === null ? {} : { maxCutDb: carry.maxCutDb }),
  }
  const isComplete = version !== undefined && from !== undefined && to !== undefined
  const plan = useQuery({
    queryKey: ['carry', version?.id, from?.id, to?.id, carry.aim, limits, sampleRateHz],
    queryFn: () =>
      client.planCarry({
        chainVersionId: version!.id,
        fromCurveId: from!.id,
        toCurveId: to!.id,
        aim: carry.aim,
        limits,
        sampleRateHz,
      }),
    enabled: isComplete,
    placeholderData: keepPreviousData,
    gcTime: 10_000,
    meta: { subjects: ['mics', 'chains'] },
  })
  if (chains.length === 0 || ofMics.length < 2) {
    return (
      <EmptyState title="Nothing to carry yet">
        <p>To carry a chain to another mic, you need a saved chain and the curves of two mics.</p>
      </EmptyState>
    )
  }
  const items = curveItems(ofMics, mics)
  const found = isComplete ? plan.data : undefined
  return (
    <div className="mic-view">
      <div className="mic-view-controls">
        <Select
          className="mic-control-curve"
          label="Chain"
          items={chains.map((chain) => ({
            key: chain.id,
            name: chain.name,
            detail: voices.find(({ id }) => id === chain.voiceId)?.name ?? '',
          }))}
          value={chainId}
          onChange={(next) => changeCarry({ chainId: next, versionId: null })}
        />
        <Select
          className="mic-control-version"
          label="Version"
          items={versions.map((one) => ({ key: one.id, name: versionNumber(one), detail: one.note }))}
          value={version?.id ?? null}
          onChange={(versionId) => changeCarry({ versionId })}
        />
        <Select
          className="mic-control-curve"
          label="From"
          items={items}
          value={from?.id ?? null}
          onChange={(fromId) => changeCarry({ fromId })}
        />
        <Select
          className="mic-control-curve"
          label="To"
          items={items.filter(({ key }) => key !== from?.id)}
          value={to?.id ?? null}
          onChange={(toId) => changeCarry({ toId })}
        />
      </div>
      {plan.error === null ? null : (
        <p className="mic-complaint" role="status">
          {plan.error.message}
        </p>
      )}
      {found === undefined || version === undefined || from === undefined || to === undefined ? null : (
        <Carried
          plan={found}
          version={version}
          fromName={micNameOf(mics, from)}
          toName={micNameOf(mics, to)}
        />
      )}
    </div>
  )
}
