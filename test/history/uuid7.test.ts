// UUID version 7 against RFC 9562 (May 2024), 5.7 and appendix A.6.

import { expect, it } from 'vitest'
import { uuid7 } from '../../app/history/uuid7.ts'

it('appendix A.6: the example, bit for bit', () => {
  // 2022-02-22 14:22:22 -05:00; rand_a is CC3, rand_b 18C4DC0C0C07398F.
  expect(uuid7(0x017f22e279b0, Buffer.from('0cc318c4dc0c0c07398f', 'hex'))).toBe(
    '017f22e2-79b0-7cc3-98c4-dc0c0c07398f',
  )
  expect(Date.parse('2022-02-22T14:22:22-05:00')).toBe(0x017f22e279b0)
})

it('5.7: version 7 and variant 10 whatever the random bits, which are all used', () => {
  for (const byte of [0x00, 0xff]) {
    expect(uuid7(0, new Uint8Array(10).fill(byte))).toMatch(/^00000000-0000-7[0f]{3}-[8b][0f]{3}-[0f]{12}$/)
  }
  expect(new Set(Array.from({ length: 1000 }, () => uuid7(1))).size).toBe(1000)
})

it('sorts as text by the time of making', () => {
  const times = [0, 1, 255, 256, 1_645_557_742_000, 1_645_557_742_001, 2 ** 48 - 1]
  const made = times.map((ms) => uuid7(ms))
  expect([...made].sort()).toEqual(made)
})
