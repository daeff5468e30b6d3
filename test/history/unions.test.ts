// Unions of what computers changed apart. Checked against the two-phase set of Shapiro, Preguiça, Baquero and Zawirski
// (A comprehensive study of convergent and commutative replicated data types, 2011, 3.3.2): all that anybody added,
// without all that anybody removed, where nothing comes back.

import { expect, it } from 'vitest'
import { createRandom } from '../../app/dsp/maths/random.ts'
import { isSameStamp, Lineage, validState } from '../../app/history/lineage.ts'
import { joinStates, type State } from '../../app/history/states.ts'
import { withUnions } from '../../app/history/unions.ts'

type Numbers = readonly number[]
type States = State<Numbers>[]

const MADE: State<Numbers> = { at: '2026-01-01T00:00:00.000Z', machine: '', parents: [], values: [] }

const unite = (base: Numbers, a: Numbers, b: Numbers): Numbers =>
  [
    ...new Set([
      ...a.filter((one) => b.includes(one) || !base.includes(one)),
      ...b.filter((one) => a.includes(one) || !base.includes(one)),
    ]),
  ].sort((x, y) => x - y)

/** A computer: what it keeps, and what is valid, which is kept once it was exchanged. */
interface Computer {
  readonly id: string
  kept: States
  local: State<Numbers>
}

const machine = (k: number): string => `017f22e2-79b0-7cc3-98c4-00000000000${k}`

function edit(computer: Computer, at: string, values: Numbers): void {
  const { id, kept, local } = computer
  const isUnseen = local.machine === id && !kept.some((one) => isSameStamp(one, local))
  const parents = isUnseen ? local.parents : [{ at: local.at, machine: local.machine }]
  computer.local = { at, machine: id, parents, values }
}

function take(computer: Computer, theirs: States): void {
  const all = joinStates([...computer.kept, computer.local], theirs)
  const live = withUnions(all, MADE, unite)
  computer.kept = joinStates(all, live)
  computer.local = validState(live)
}

const exported = ({ kept, local }: Computer): States => joinStates(kept, [local])

it('of three computers that exchange at random end with all that was added and not removed', () => {
  const random = createRandom(7)
  const below = (n: number): number => Math.floor(random.uniform() * n)
  let apart = 0
  for (let round = 0; round < 300; round++) {
    const computers = [0, 1, 2].map((k): Computer => ({ id: machine(k), kept: [], local: MADE }))
    const [added, removed] = [new Set<number>(), new Set<number>()]
    for (let step = 1; step < 16; step++) {
      const computer = computers[below(3)]!
      const { values } = computer.local
      const at = new Date(Date.UTC(2026, 0, 2, 0, step)).toISOString()
      const act = below(3)
      if (act === 0) {
        added.add(step)
        edit(computer, at, [...values, step])
      } else if (act === 1 && values.length > 0) {
        const gone = values[below(values.length)]!
        removed.add(gone)
        edit(
          computer,
          at,
          values.filter((one) => one !== gone),
        )
      } else if (act === 2) take(computer, exported(computers[below(3)]!))
    }
    for (let times = 0; times < 2; times++) {
      for (const to of computers) for (const from of computers) take(to, exported(from))
    }
    const expected = [...added].filter((one) => !removed.has(one))
    const heads = new Lineage(withUnions(exported(computers[0]!), MADE, unite)).heads
    // A few cannot be united and stay two, as a conflict that is told; nothing is lost.
    if (heads.length > 1) {
      if (computers.some(({ local }) => local.values.join() !== expected.join())) apart++
      const all = heads.flatMap(({ values }) => values)
      for (const one of expected) expect(all).toContain(one)
    } else for (const { local } of computers) expect(local.values).toEqual(expected)
    for (const one of computers) expect(exported(one)).toEqual(exported(computers[0]!))
  }
  expect(apart).toBeLessThan(5)
})

/** What a computer added to the values that it made its own from. */
const added = (k: number, from: State<Numbers>, number: number): State<Numbers> => ({
  at: `2026-01-02T00:00:0${number}.000Z`,
  machine: machine(k),
  parents: [{ at: from.at, machine: from.machine }],
  values: [...from.values, number],
})

it('a union that was made before all changes were known is left out, unless somebody went on from it', () => {
  const [home, studio, van] = [added(0, MADE, 1), added(1, MADE, 2), added(2, MADE, 3)]
  const known = [home, van]
  const early = withUnions(known, MADE, unite)
  const [union, ...others] = early.filter((state) => !known.includes(state))
  expect(others).toEqual([])
  expect(union!.values).toEqual([1, 3])

  const all = withUnions([home, studio, van], MADE, unite)
  expect(validState(all).values).toEqual([1, 2, 3])
  expect(withUnions([...early, studio], MADE, unite)).toEqual(all)
  expect(all).not.toContainEqual(union)

  const later = added(2, union!, 4)
  const gone = withUnions([...early, studio, later], MADE, unite)
  expect(gone).toContainEqual(union)
  expect(validState(gone).values).toEqual([1, 2, 3, 4])
})
