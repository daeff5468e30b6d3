// The last steps of the drive: the difference that the curve makes is DC-blocked and added to the dry sound.

const DEAD: f64 = 1e-15

/**
 * y = x - x[n-1] + r y[n-1] over the difference, then unbentGain dry + bentGain y.
 * @param state last x and y of the DC block
 */
export function addDcBlocked(
  dry: usize,
  difference: usize,
  sum: usize,
  state: usize,
  r: f64,
  unbentGain: f64,
  bentGain: f64,
  frames: i32,
): void {
  let x1 = load<f64>(state)
  let y1 = load<f64>(state, 8)
  for (let i = 0; i < frames << 3; i += 8) {
    const x = load<f64>(difference + i)
    y1 = x - x1 + r * y1
    if (y1 < DEAD && y1 > -DEAD) y1 = 0
    x1 = x
    store<f64>(sum + i, unbentGain * load<f64>(dry + i) + bentGain * y1)
  }
  store<f64>(state, x1)
  store<f64>(state, y1, 8)
}
