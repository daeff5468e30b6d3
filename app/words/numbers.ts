// Numbers in sentences: plain ASCII, which a terminal shows unchanged and the window typesets with a
// real minus and a narrow space before the unit (renderer/formats/voice/voice-words.ts).

/** '1 take', '3 takes'. */
export const countOf = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`

/** '980 Hz', '3.7 kHz'. */
export const hertz = (frequencyHz: number): string =>
  frequencyHz < 1000 ? `${Math.round(frequencyHz)} Hz` : `${(frequencyHz / 1000).toFixed(1)} kHz`

/** '44.1 kHz', '48 kHz'. */
export const rate = (sampleRateHz: number): string => `${sampleRateHz / 1000} kHz`
