// Shows what an earlier session's sound would change here, before it does.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { formatDate } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { applyRecall } from '../../acts/recall-acts.ts'
import { planRecall } from '../../formats/recall/plan-recall.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { Checkbox } from '../../parts/fields/checkbox.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { messageOf, remark } from '../../state/notices.ts'
import { earlierSessionsQuery, sessionContentsQuery, sessionsQuery } from '../../state/queries.ts'
import './recall.css'

export interface RecallDialogProps {
  readonly contents: SessionContents
  /** The earlier session to start with. */
  readonly fromSessionId: number
  readonly onClose: () => void
}

/** Lists every change with the present and the new value; applying them is one undo step. */
export function RecallDialog({ contents, fromSessionId, onClose }: RecallDialogProps) {
  const { session } = contents
  const earlier = useQuery(earlierSessionsQuery(session.id)).data ?? []
  const all = useQuery(sessionsQuery).data ?? []
  const [fromId, setFromId] = useState(fromSessionId)
  const [keepsSet, setKeepsSet] = useState(true)
  const [failure, setFailure] = useState<string | null>(null)
  const [isBusy, setBusy] = useState(false)
  const then = useQuery(sessionContentsQuery(fromId)).data
  // The session that was asked for may be of another voice.
  const choices = [
    ...earlier,
    ...all.filter(({ id }) => id === fromSessionId && !earlier.some((one) => one.id === id)),
  ]
  const { steps, unmatched } = then === undefined ? { steps: [], unmatched: [] } : planRecall(contents, then)
  const overwriting = steps.filter((step) => step.overwrites).length
  const wanted = keepsSet ? steps.filter((step) => !step.overwrites) : steps
  const from = then?.session

  const apply = async (): Promise<void> => {
    if (from === undefined) return
    setBusy(true)
    const label = `as on ${formatDate(from.date)}`
    try {
      await applyRecall(contents, wanted, label)
      remark(`Set ${label}: ${countOf(wanted.length, 'change')}`, 'One undo takes all of it back.')
      onClose()
    } catch (error) {
      setFailure(messageOf(error))
      setBusy(false)
    }
  }

  return (
    <Dialog title="Sound as in an earlier session" isOpen onClose={onClose} width="wide">
      <Select
        label="Earlier session"
        items={choices.map((one) => ({
          key: one.id,
          name: `${formatDate(one.date)}: ${one.songTitle}`,
          detail: one.artistName,
        }))}
        value={fromId}
        onChange={(id) => setFromId(id ?? fromId)}
      />
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scroll area has to be reachable by keyboard */}
      <section className="recall-changes" aria-label="Changes" tabIndex={0}>
        {then === undefined ? null : steps.length === 0 ? (
          <p className="soft">Nothing changes: this session has the same chains, gains and pans.</p>
        ) : (
          <table>
            <thead>
              <tr>
                <th>Change</th>
                <th>Now</th>
                <th>Then</th>
                <th>
                  <span className="visually-hidden">Remark</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {steps.map((step) => (
                <tr key={step.what} data-kept={(keepsSet && step.overwrites) || undefined}>
                  <td>{step.what}</td>
                  <td>{step.from}</td>
                  <td>{step.to}</td>
                  <td className="soft">
                    {step.overwrites ? (keepsSet ? 'stays as you set it' : 'overwrites what you set') : ''}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        )}
      </section>
      {unmatched.length === 0 || steps.length === 0 ? null : (
        <p className="soft">
          No counterpart then, so {unmatched.length === 1 ? 'it stays' : 'they stay'} as now:{' '}
          {unmatched.map(({ name }) => name).join(', ')}.
        </p>
      )}
      {overwriting === 0 ? null : (
        <Checkbox isSelected={keepsSet} onChange={setKeepsSet}>
          Keep what is already set here ({countOf(overwriting, 'value')})
        </Checkbox>
      )}
      <DialogFailure message={failure} />
      <DialogButtons>
        <Button onPress={onClose}>Cancel</Button>
        <Button look="main" autoFocus isDisabled={wanted.length === 0 || isBusy} onPress={() => void apply()}>
          Apply {countOf(wanted.length, 'change')}
        </Button>
      </DialogButtons>
    </Dialog>
  )
}
