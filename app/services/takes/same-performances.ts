// Which takes of a session contain the same performance as a new one.

import type { Finding } from '../../contract/finding.ts'
import type { TakeFacts } from '../../contract/take-facts.ts'
import type { NamedTake } from '../../engine/measuring/known-take.ts'
import type { Workplace } from '../workplace.ts'
import { catalogueRoot, locateTakes } from './take-files.ts'

/**
 * One finding for each take of the session and each lag at which a phrase of the new take is found. Prints
 * select the few takes that may contain it, and only those are compared, so a long session costs no more
 * than a short one.
 */
export async function findSamePerformances(
  workplace: Workplace,
  sessionId: number,
  take: NamedTake & { readonly facts: TakeFacts },
  signal: AbortSignal,
): Promise<readonly Finding[]> {
  const { catalogue, pool, folders, verifiedFiles } = workplace
  const { sha256, name, path } = take
  const phrases = take.facts.check?.phrases ?? []
  const others = catalogue.takes.hashesOfSession(sessionId)
  if (others.length === 0 || phrases.length === 0) return []
  const { working: workingFolder, peaks: peaksFolder } = folders
  const root = catalogueRoot(catalogue.path)
  // A lag that is exact to the sample cannot be measured without the audio, so missing takes are left out.
  const named = async (hashes: readonly string[]): Promise<NamedTake[]> => {
    const known = hashes.flatMap((hash) =>
      hash === sha256 ? [] : (catalogue.takes.findBySha256(hash) ?? []),
    )
    const { found } = await locateTakes(verifiedFiles, root, known)
    const placed = new Map(found.map(({ take: other, path }) => [other.sha256, { name: other.name, path }]))
    placed.set(sha256, { name, path })
    return hashes.flatMap((hash) => {
      const one = placed.get(hash)
      return one === undefined ? [] : [{ sha256: hash, ...one }]
    })
  }
  const askForCandidates = () =>
    workplace.printPool.run(
      'findPrintCandidates',
      { sessionId, sha256, phrases, others, peaksFolder },
      { signal },
    )

  let answer = await askForCandidates()
  if (answer.missing.length > 0) {
    await Promise.all(
      (await named(answer.missing)).map((one) =>
        pool.run('makePrint', { take: one, workingFolder, peaksFolder }, { signal }),
      ),
    )
    answer = await askForCandidates()
  }
  const { candidates, longestBits } = answer
  if (candidates.length === 0) return []
  return pool.run(
    'findSamePerformance',
    {
      take: { sha256, name, path, phrases },
      others: await named(candidates),
      longestBits,
      workingFolder,
      peaksFolder,
    },
    { signal },
  )
}
