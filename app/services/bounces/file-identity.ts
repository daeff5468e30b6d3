// What a rendered file is named by inside (OriginatorReference), and what its dither starts from: a hash of everything
// that determines its samples, the same in every catalogue that holds the session.

import type { RenderPlan } from '../../contract/render-plan.ts'
import type { SongSpan } from '../../contract/sections/song-range.ts'
import type { FileSpan } from '../../engine/rendering/stem-output.ts'
import { hashOfValue } from '../../history/canonical-json.ts'

/** @param span where a part of the song is written, or another rate than the plan's */
export function fileIdentity(plan: RenderPlan, span: SongSpan | FileSpan | null, file: string): string {
  return hashOfValue({ plan: withPlaces(plan), ...(span === null ? {} : { span }), file })
}

/** Places in their lists instead of ids, which are row numbers of one catalogue. */
function withPlaces(plan: RenderPlan): object {
  const groups = plan.groups.map((group, k) => ({ ...group, id: k }))
  const layers = plan.layers.map((layer, k) => ({
    ...layer,
    id: k,
    groupId: plan.groups.findIndex(({ id }) => id === layer.groupId),
  }))
  return { ...plan, groups, layers }
}
