// All migrations in order. Put a new one in its own file, named for what it does, add it at the end of
// this list, and run `npm run schema`.

import type { Migration } from '../care/migrate.ts'
import { firstCatalogue } from './001-first-catalogue.ts'
import { curvePatternsAndPictures } from './002-curve-patterns-and-pictures.ts'
import { beatsPerBar } from './003-beats-per-bar.ts'
import { takeCopies } from './004-take-copies.ts'
import { rowHashes } from './005-row-hashes.ts'
import { factsWithoutWords } from './006-facts-without-words.ts'
import { tempoMapAndEntityChanges } from './007-tempo-map-and-entity-changes.ts'
import { takeSearch } from './008-take-search.ts'
import { chainDrafts } from './009-chain-drafts.ts'
import { takeStampAndSize } from './010-take-stamp-and-size.ts'
import { sections } from './011-sections.ts'
import { deliveries } from './012-deliveries.ts'
import { identity } from './013-identity.ts'
import { takeChecksAndArchives } from './014-take-checks-and-archives.ts'
import { chainPins } from './015-chain-pins.ts'
import { datesOfChanges } from './016-dates-of-changes.ts'
import { deliveriesOfOtherComputers } from './017-deliveries-of-other-computers.ts'
import { whatChangesWereMadeFrom } from './018-what-changes-were-made-from.ts'
import { partsOfBounces } from './019-parts-of-bounces.ts'
import { polarityOfLayers } from './020-polarity-of-layers.ts'

/** In the order of their numbers. */
export const migrations: readonly Migration[] = [
  firstCatalogue,
  curvePatternsAndPictures,
  beatsPerBar,
  takeCopies,
  rowHashes,
  factsWithoutWords,
  tempoMapAndEntityChanges,
  takeSearch,
  chainDrafts,
  takeStampAndSize,
  sections,
  deliveries,
  identity,
  takeChecksAndArchives,
  chainPins,
  datesOfChanges,
  deliveriesOfOtherComputers,
  whatChangesWereMadeFrom,
  partsOfBounces,
  polarityOfLayers,
]
