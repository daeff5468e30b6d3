// Limits on external input, each with its reason. They are checked before the input is read or anything is
// built from it. This file does not import zod, so that threads that validate nothing need not load it.

/** Below 8 kHz there is no sibilance and no room for the meters' filters; no recorder runs above 768 kHz. */
export const LOWEST_RATE_HZ = 8000
export const HIGHEST_RATE_HZ = 768_000

/** A day: the time stamp of a Broadcast Wave file counts from midnight. */
export const MAX_SOUND_SECONDS = 86_400
/** The longest sound at the highest rate. */
export const MAX_FRAMES = MAX_SOUND_SECONDS * HIGHEST_RATE_HZ
/** A day of 192 kHz stereo as 64-bit floats, plus 2 % for other chunks; larger files are refused. */
export const MAX_TAKE_BYTES = 270_000_000_000
/** Layer offset in either direction: 5.8 hours at 96 kHz, 11.6 at 48 kHz; sums stay far below 2^53. */
export const MAX_OFFSET_FRAMES = 2_000_000_000

/** Each layer costs an open file and 0.3 MB while it sounds: a bounce with this many needs 270 MB. */
export const MAX_LAYERS = 256
/** Each group gives one stem; this is more than a mix needs. */
export const MAX_GROUPS = 64
/** Of one take: every stick and backup that it was ever imported from. */
export const MAX_COPIES = 1000
/** Takes or layers that one act changes: ten times what a day records, and one message at most 1 MB. */
export const MAX_TOGETHER = 5000
/** Takes of all sessions that one act finds again; with usual paths one message stays far below 16 MiB. */
export const MAX_RELOCATED = 20_000
/** There are nine kinds, and each may come more than once. */
export const MAX_STAGES = 24
/** Of one layer: a comp of single words over an hour. */
export const MAX_PASSAGES = 2000
/** Of all layers of a plan: each costs up to two open files. */
export const MAX_PLANNED_TAKES = 400
/** Of all layers of a plan, so that a manifest with them keeps to the limits of JSON below. */
export const MAX_PLANNED_PASSAGES = 20_000
/** Bands of a tone stage, and of a fitted correction without its proximity shelf. */
export const MAX_BANDS = 12

/** Measurements with linear frequency steps can have this many points. */
export const MAX_CURVE_POINTS = 20_000
/** 200 characters per point. */
export const MAX_CURVE_CHARACTERS = 4_000_000
/** A line with a useful frequency and level has at least eight characters. */
export const MAX_CURVE_LINES = 500_000
/** UTF-16 has two bytes per character. */
export const MAX_CURVE_BYTES = 2 * MAX_CURVE_CHARACTERS

/** Fits the largest chain and the largest manifest that these limits allow, as the program writes them. */
export const MAX_JSON_BYTES = 40_000_000
/** The stages of all layers of a full manifest, with their bands, are about 125,000 objects and arrays. */
export const MAX_JSON_CONTAINERS = 250_000
/** A chain with the longest possible target curve in every stage has 960,000 values. */
export const MAX_JSON_VALUES = 1_200_000
/** Members of one object; no schema has more than twenty. */
export const MAX_JSON_MEMBERS = 100
/** The deepest is a band in a stage of a layer of a plan, at nine levels. */
export const MAX_JSON_DEPTH = 16

/** More than a song has; a list of one per bar of an hour still fits. */
export const MAX_TEMPO_CHANGES = 2000

/** In characters. */
export const MAX_NAME = 200
export const MAX_NOTE = 10_000
/** Of a mic, in characters. */
export const MAX_SERIAL = 100
/** Farther away, a voice is mostly room. */
export const MAX_MIC_DISTANCE_M = 100
/** Results of one search for takes; a search with more is too wide to read. */
export const MAX_FOUND_TAKES = 1000
/** Entries of the ledger in one answer. */
export const MAX_LEDGER_ENTRIES = 10_000
/** PATH_MAX of Linux, the longest among the supported systems. */
export const MAX_PATH = 4096
/** The limit of one path component on every common file system. */
export const MAX_FILE_NAME = 255
/** Characters of one sentence about a layer or a stem, including its names. */
export const MAX_REMARK = 2000
/** Per bounce: each layer has one for its rate and one for every correction without a curve. */
export const MAX_REMARKS = 10_000
