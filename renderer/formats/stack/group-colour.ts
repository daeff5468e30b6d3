// Colours of groups. A colour is never the only mark: the group's name stands over its layers.

/** How many colours tokens.css has. */
const COLOURS = 8

/**
 * The custom property with the colour of a group.
 * @param place the group's place in the stack, from 0; the ninth has the colour of the first again
 */
export const groupColour = (place: number): string => `--group-${(place % COLOURS) + 1}`
