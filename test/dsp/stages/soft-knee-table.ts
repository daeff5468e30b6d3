// The printed soft-knee formula, worked out, for the curve itself and for the stage.

// Giannoulis, Massberg and Reiss, "Digital dynamic range compressor design", J. Audio
// Eng. Soc. 60(6), 2012, eq. 4, for T = -20 dB, R = 4, W = 6 dB, worked out apart from
// this program: input dB, output dB.
export const SOFT_KNEE_TABLE = [
  [-40, -40],
  [-30, -30],
  [-24, -24],
  [-23, -23],
  [-22, -22.0625],
  [-21, -21.25],
  [-20, -20.5625],
  [-19, -20],
  [-18, -19.5625],
  [-17, -19.25],
  [-16, -19],
  [-14, -18.5],
  [-10, -17.5],
  [-6, -16.5],
  [0, -15],
]
