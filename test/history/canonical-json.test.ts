// The canonical form of JSON against the published vectors of RFC 8785 (June 2020): its sections
// 3.2.2 to 3.2.4, its appendix B, and the test data that its authors keep beside it
// (github.com/cyberphone/json-canonicalization, testdata, from the same authors).

import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { hashOfValue } from '../../app/history/canonical-json.ts'

/** Equal where the canonical form of the value is this text. */
const hashOfText = (text: string): string => createHash('sha256').update(text).digest('hex')
const expectForm = (value: unknown, form: string): void =>
  expect(hashOfValue(value), form).toBe(hashOfText(form))

describe('RFC 8785', () => {
  it('3.2.2: the sample, byte for byte as in 3.2.4', () => {
    const sample = String.raw`{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }`
    expectForm(
      JSON.parse(sample),
      String.raw`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`,
    )
    const bytes = Buffer.from(
      '7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a5b3333333333333333332e333333333333332c31652b33302c342e352c302e3030322c31652d32375d2c22737472696e67223a22e282ac245c75303030665c6e4127425c225c5c5c5c5c222f227d',
      'hex',
    )
    expectForm(JSON.parse(sample), bytes.toString('utf8'))
  })

  it('3.2.3: names are in the order of their UTF-16 units', () => {
    const sample = String.raw`{
      "\u20ac": "Euro Sign",
      "\r": "Carriage Return",
      "\ufb33": "Hebrew Letter Dalet With Dagesh",
      "1": "One",
      "\ud83d\ude00": "Emoji: Grinning Face",
      "\u0080": "Control",
      "\u00f6": "Latin Small Letter O With Diaeresis"
    }`
    expectForm(
      JSON.parse(sample),
      '{"\\r":"Carriage Return","1":"One","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis","\u20ac":"Euro Sign","\ud83d\ude00":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}',
    )
  })

  it.each([
    ['0000000000000000', '0'],
    ['8000000000000000', '0'],
    ['0000000000000001', '5e-324'],
    ['8000000000000001', '-5e-324'],
    ['7fefffffffffffff', '1.7976931348623157e+308'],
    ['ffefffffffffffff', '-1.7976931348623157e+308'],
    ['4340000000000000', '9007199254740992'],
    ['c340000000000000', '-9007199254740992'],
    ['4430000000000000', '295147905179352830000'],
    ['44b52d02c7e14af5', '9.999999999999997e+22'],
    ['44b52d02c7e14af6', '1e+23'],
    ['44b52d02c7e14af7', '1.0000000000000001e+23'],
    ['444b1ae4d6e2ef4e', '999999999999999700000'],
    ['444b1ae4d6e2ef4f', '999999999999999900000'],
    ['444b1ae4d6e2ef50', '1e+21'],
    ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
    ['3eb0c6f7a0b5ed8d', '0.000001'],
    ['41b3de4355555553', '333333333.3333332'],
    ['41b3de4355555554', '333333333.33333325'],
    ['41b3de4355555555', '333333333.3333333'],
    ['41b3de4355555556', '333333333.3333334'],
    ['41b3de4355555557', '333333333.33333343'],
    ['becbf647612f3696', '-0.0000033333333333333333'],
    ['43143ff3c1cb0959', '1424953923781206.2'],
  ])('appendix B: the double %s is %s', (hex, text) => {
    expectForm(Buffer.from(hex, 'hex').readDoubleBE(), text)
  })

  it.each([['7fffffffffffffff'], ['7ff0000000000000'], ['fff0000000000000']])(
    'appendix B: the double %s is an error',
    (hex) => {
      expect(() => hashOfValue([Buffer.from(hex, 'hex').readDoubleBE()])).toThrow(/not allowed/)
    },
  )

  it('3.2.2.2: half of a surrogate pair is an error, in names too', () => {
    expect(() => hashOfValue({ name: '\ud83d' })).toThrow(/surrogate/)
    expect(() => hashOfValue({ '\ude02': 1 })).toThrow(/surrogate/)
  })
})

describe('the test data beside the RFC', () => {
  it.each([
    ['arrays', '[56, {"d": true, "10": null, "1": [ ]}]', '[56,{"1":[],"10":null,"d":true}]'],
    [
      'french',
      '{"peach":"This sorting order","péché":"is wrong according to French","pêche":"but canonicalization MUST","sin":"ingnore locale"}',
      '{"peach":"This sorting order","péché":"is wrong according to French","pêche":"but canonicalization MUST","sin":"ingnore locale"}',
    ],
    [
      'structures',
      String.raw`{"1": {"f": {"f": "hi", "F": 5}, "\n": 56.0}, "10": {}, "": "empty", "a": {}, "111": [{}], "A": {}}`,
      String.raw`{"":"empty","1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{}],"A":{},"a":{}}`,
    ],
    [
      'unicode',
      String.raw`{"Unnormalized Unicode":"\u1e0d\u0307"}`,
      '{"Unnormalized Unicode":"\u1e0d\u0307"}',
    ],
    [
      'values',
      String.raw`{"numbers": [1E30, 4.50, 333333333.33333329, 2e-3, 1E-27], "escaping": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}`,
      String.raw`{"escaping":"€$\u000f\nA'B\"\\\\\"/","literals":[null,true,false],"numbers":[1e+30,4.5,333333333.3333333,0.002,1e-27]}`,
    ],
    [
      'weird',
      String.raw`{"\u20ac":"Euro Sign","1":"One","\u0080":"Control\u007f","\ud83d\ude02":"Smiley","\u00f6":"Latin Small Letter O With Diaeresis","\ufb33":"Hebrew Letter Dalet With Dagesh","</script>":"Browser Challenge"}`,
      '{"1":"One","</script>":"Browser Challenge","\u0080":"Control\u007f","ö":"Latin Small Letter O With Diaeresis","€":"Euro Sign","😂":"Smiley","\ufb33":"Hebrew Letter Dalet With Dagesh"}',
    ],
  ])('%s', (_name, input, output) => {
    expectForm(JSON.parse(input), output)
  })
})

it('a chain version that was saved before keeps its hash', () => {
  // Written by version 0.1.0 of this program.
  const stages = [
    { kind: 'trim', on: true, settings: { gainDb: -1.5, invertPolarity: false } },
    {
      kind: 'mic-correction',
      on: true,
      settings: {
        target: {
          name: 'Übung – flat',
          curve: { frequenciesHz: [20, 1000, 20_000], levelsDb: [0, 0.1, -0.30000000000000004] },
        },
        amountPercent: 100,
        maxBoostDb: 4,
        maxCutDb: 9,
        fromHz: 50,
        toHz: 16_000,
        maxBands: 8,
      },
    },
    {
      kind: 'tone',
      on: false,
      settings: { bands: [{ shape: 'high-shelf', frequencyHz: 10_000, gainDb: 2, q: Math.SQRT1_2 }] },
    },
  ]
  expect(hashOfValue(stages)).toBe('77566135faee2ac53ac44d57d397f9a97ee59e9d2f26462b01820e2fcc51379d')
})
