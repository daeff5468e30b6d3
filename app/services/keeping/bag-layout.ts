// Where things are in the bag of a session.

/** Takes, byte for byte, each named by the first digits of its hash and its name. */
export const PAYLOAD_TAKES = 'data/takes'
export const PAYLOAD_STEMS = 'data/stems'
/** Bounces and deliveries that went out, each in a folder of its own. */
export const PAYLOAD_BOUNCES = 'data/bounces'
export const PAYLOAD_DELIVERIES = 'data/deliveries'
export const PAYLOAD_HISTORY = 'data/voice-history.zip'
export const PAYLOAD_SESSION = 'data/session.json'
/** The recall sheet, a page that needs nothing else. */
export const PAYLOAD_SHEET = 'data/recall.html'
export const TAG_README = 'takeloft/README.txt'
/** Of a take's SHA-256, in its file name. */
export const HASH_DIGITS = 12
