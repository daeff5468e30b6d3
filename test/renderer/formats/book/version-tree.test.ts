import { describe, expect, it } from 'vitest'
import { layTree, newestEnds } from '../../../../renderer/formats/book/version-tree.ts'

const version = (id: number, ...parentIds: number[]) => ({ id, parentIds })
const drawn = (...versions: ReturnType<typeof version>[]) =>
  layTree(versions).map(({ version: { id }, column, parents }) => [id, column, parents.map(({ row }) => row)])

describe('the tree of versions', () => {
  it('is one column where each was made from the one before', () => {
    expect(drawn(version(1), version(2, 1), version(3, 2))).toEqual([
      [3, 0, [1]],
      [2, 0, [2]],
      [1, 0, []],
    ])
  })

  it('gives an earlier version that was edited again a second column', () => {
    // 4 was made from 2 although 3 was there.
    expect(drawn(version(1), version(2, 1), version(3, 2), version(4, 2))).toEqual([
      [4, 0, [2]],
      [3, 1, [2]],
      [2, 0, [3]],
      [1, 0, []],
    ])
  })

  it('gives two newest versions a column each, and names both', () => {
    const versions = [version(1), version(2, 1), version(3, 1)]
    expect(drawn(...versions)).toEqual([
      [3, 0, [2]],
      [2, 1, [2]],
      [1, 0, []],
    ])
    expect(newestEnds(versions).map(({ id }) => id)).toEqual([3, 2])
    expect(newestEnds([...versions, version(4, 3, 2)]).map(({ id }) => id)).toEqual([4])
  })

  it('joins where a version has two parents', () => {
    expect(drawn(version(1), version(2, 1), version(3, 1), version(4, 3, 2))).toEqual([
      [4, 0, [1, 2]],
      [3, 0, [3]],
      [2, 1, [3]],
      [1, 0, []],
    ])
  })

  it('leaves out parents that are not there, and draws nothing of nothing', () => {
    expect(drawn(version(5, 1))).toEqual([[5, 0, []]])
    expect(layTree([])).toEqual([])
  })
})
