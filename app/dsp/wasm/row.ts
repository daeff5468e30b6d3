// Rows of doubles in the kernels' memory, by address.

const DOUBLE_BYTES = 8

/** Address of a row's first double, in bytes from the start of the memory. */
export type Row = number & { readonly unit: 'address of doubles' }

/** Stands in for a row that is optional to a kernel. */
export const NO_ROW = 0 as Row

/** The part of a row from its double number `index` on; a negative index is before the row. */
export const rowAt = (row: Row, index: number): Row => (row + DOUBLE_BYTES * index) as Row

/** Index of a row's first double in a view of the whole memory. */
export const indexOf = (row: Row): number => row / DOUBLE_BYTES
