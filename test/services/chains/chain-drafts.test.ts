// Drafts of chains in the catalogue: they outlast the program, and no window overwrites another's.

import { randomUUID } from 'node:crypto'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { openCatalogue } from '../../../db/catalogue.ts'
import { context, openWorkshop, type Workshop } from '../workshop.ts'

const HERE = randomUUID()
const THERE = randomUUID()

async function sessionWithChain({ handlers, createSession, workplace }: Workshop) {
  const session = await createSession()
  const voice = await handlers.createVoice({ artistId: session.artistId, name: 'Rap', note: '' }, context)
  const version = await handlers.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Verse', stages: [defaultStages.tone], note: '' },
    context,
  )
  const [lead] = workplace.catalogue.groups.listOfSession(session.id)
  return { session, voice, version, lead }
}

it('keeps a draft of each owner, with the version it started from, until it is dropped', async () => {
  const shop = openWorkshop()
  const { handlers } = shop
  const { session, version, lead } = await sessionWithChain(shop)
  const owner = { sessionId: session.id, groupId: lead.id }
  const edited = [defaultStages.tone, defaultStages.opto]
  const { revision } = await handlers.keepChainDraft(
    { ...owner, known: null, baseVersionId: version.id, stages: edited, writer: HERE },
    context,
  )
  await handlers.keepChainDraft(
    { ...owner, groupId: null, known: null, baseVersionId: null, stages: [], writer: HERE },
    context,
  )

  // As after a crash: the file is opened by another process, and nothing has been closed.
  const again = openCatalogue(join(shop.folder, 'catalogue.sqlite'))
  expect(again.chainDrafts.listOfSession(session.id)).toMatchObject([
    { groupId: null, baseVersionId: null, stages: [] },
    { groupId: lead.id, baseVersionId: version.id, stages: edited, writer: HERE, revision },
  ])
  again.close()
  expect(await handlers.listChainDrafts({ sessionId: session.id }, context)).toMatchObject([
    { groupId: null, base: null },
    { groupId: lead.id, base: version },
  ])

  await handlers.keepChainDraft(
    { ...owner, known: revision, baseVersionId: version.id, stages: null, writer: HERE },
    context,
  )
  expect(await handlers.listChainDrafts({ sessionId: session.id }, context)).toHaveLength(1)
})

it('refuses to overwrite or drop what another window has written, also after a removal', async () => {
  const shop = openWorkshop()
  const { handlers } = shop
  const { session, lead } = await sessionWithChain(shop)
  const fields = { sessionId: session.id, groupId: lead.id, baseVersionId: null, stages: [] }
  const keep = (known: string | null, writer: string, stages: [] | null = []) =>
    handlers.keepChainDraft({ ...fields, known, writer, stages }, context)
  const first = await keep(null, HERE)
  const second = await keep(first.revision, THERE)
  await expect(keep(first.revision, HERE)).rejects.toMatchObject({ code: 'conflict' })
  await expect(keep(null, HERE)).rejects.toMatchObject({ code: 'conflict' })
  await expect(keep(first.revision, HERE, null)).rejects.toMatchObject({ code: 'conflict' })
  const [stored] = await handlers.listChainDrafts({ sessionId: session.id }, context)
  expect(stored).toMatchObject({ writer: THERE, revision: second.revision })

  await keep(second.revision, THERE, null)
  await keep(null, THERE)
  await expect(keep(first.revision, HERE)).rejects.toMatchObject({ code: 'conflict' })
})

it('comes back with a removed group', async () => {
  const shop = openWorkshop()
  const { handlers, workplace } = shop
  const { session, lead } = await sessionWithChain(shop)
  const owner = { sessionId: session.id, groupId: lead.id }
  await handlers.keepChainDraft(
    { ...owner, known: null, baseVersionId: null, stages: [], writer: HERE },
    context,
  )
  await handlers.removeGroup({ id: lead.id }, context)
  await handlers.createGroup(lead, context)
  expect(workplace.catalogue.chainDrafts.revisionOf(owner)).not.toBeNull()
})

it('says that a newer version was saved meanwhile instead of saving over it', async () => {
  const shop = openWorkshop()
  const { handlers } = shop
  const { voice, version } = await sessionWithChain(shop)
  const fields = { voiceId: voice.id, chainId: version.chainId, name: 'Verse', stages: [], note: '' }
  const other = await handlers.saveChain({ ...fields, newestId: version.id }, context)
  await expect(handlers.saveChain({ ...fields, newestId: version.id }, context)).rejects.toMatchObject({
    code: 'conflict',
    message: expect.stringMatching(/saved version 2 of Verse/),
  })
  expect(await handlers.listChainVersions({ chainId: version.chainId }, context)).toHaveLength(2)
  expect((await handlers.saveChain({ ...fields, newestId: other.id }, context)).number).toBe(3)
})

it('gives back the drafts of a removed session with it, as they were', async () => {
  const shop = openWorkshop()
  const { handlers } = shop
  const { session, version, lead } = await sessionWithChain(shop)
  const keep = (groupId: number | null, baseVersionId: number | null) =>
    handlers.keepChainDraft(
      {
        ...{ sessionId: session.id, groupId, known: null, baseVersionId, writer: HERE },
        stages: [defaultStages.opto],
      },
      context,
    )
  await keep(null, null)
  await keep(lead.id, version.id)
  const list = () => handlers.listChainDrafts({ sessionId: session.id }, context)
  const before = await list()
  expect(before).toHaveLength(2)

  const subjects = new Set<string>()
  shop.workplace.subscribe((_, data) => {
    for (const subject of 'subjects' in data ? data.subjects : []) subjects.add(subject)
  })
  const { changeId } = await handlers.removeEntity({ kind: 'session', id: session.id }, context)
  expect(shop.workplace.catalogue.chainDrafts.listOfSession(session.id)).toEqual([])
  await handlers.revertEntityChange({ changeId }, context)
  expect(await list()).toEqual(before)
  expect(subjects).toContain('drafts')
})
