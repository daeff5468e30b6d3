// Limits of everything that comes from outside, each once and with its reason. They are checked at the
// border, before anything is read or built. This file is free of zod, for threads that validate nothing.

/** Under 8 kHz there is no sibilance to hear and the meters' filters have no room; nothing records above 768 kHz. */
export const LOWEST_RATE_HZ = 8000
export const HIGHEST_RATE_HZ = 768_000

/** A day: the time stamp of a Broadcast Wave file counts from midnight. */
export const MAX_SOUND_SECONDS = 86_400
/** The longest sound at the highest rate. */
export const MAX_FRAMES = MAX_SOUND_SECONDS * HIGHEST_RATE_HZ
/** A day of 192 kHz stereo as 64-bit floats, and 2 % for the other chunks; no larger file is hashed. */
export const MAX_TAKE_BYTES = 270_000_000_000
/** Offsets of layers, either way: eleven hours at the highest rate of a session keep the whole far from 2^53. */
export const MAX_OFFSET_FRAMES = 2_000_000_000

/** Each layer costs an open file and 0.3 MB while it sounds: a bounce of so many takes 270 MB. */
export const MAX_LAYERS = 256
/** One stem each, which is more than a mix needs. */
export const MAX_GROUPS = 64
/** There are nine kinds, and each may come more than once. */
export const MAX_STAGES = 24
/** Of a tone stage, and of a fitted correction without its proximity shelf. */
export const MAX_BANDS = 12

/** Measurements with even steps in Hz have that many points. */
export const MAX_CURVE_POINTS = 20_000
/** 200 characters for each point that is kept. */
export const MAX_CURVE_CHARACTERS = 4_000_000
/** A frequency and a level take at least eight characters where they say anything. */
export const MAX_CURVE_LINES = 500_000
/** UTF-16 takes two bytes for each character. */
export const MAX_CURVE_BYTES = 2 * MAX_CURVE_CHARACTERS

/** The largest chain and the largest manifest that these limits allow fit in, as the program writes them. */
export const MAX_JSON_BYTES = 40_000_000
/** The stages of every layer of a full manifest, with all their bands, are about 125,000 objects and lists. */
export const MAX_JSON_CONTAINERS = 250_000
/** Of a chain whose every stage has a target curve with as many points as there can be: 960,000. */
export const MAX_JSON_VALUES = 1_200_000
/** In one object; no kind of object has more than twenty. */
export const MAX_JSON_MEMBERS = 100
/** A band in a stage of a layer of a plan is the deepest, at nine. */
export const MAX_JSON_DEPTH = 16

/** Characters of a name and of a note. */
export const MAX_NAME = 200
export const MAX_NOTE = 10_000
/** PATH_MAX of Linux, the longest of the systems that the program runs on. */
export const MAX_PATH = 4096
/** Of one name in a folder, on every common file system. */
export const MAX_FILE_NAME = 255
/** One sentence about a layer or a stem, with its names. */
export const MAX_REMARK = 2000
/** Of a bounce: each layer has one for its rate and for every correction that has no curve. */
export const MAX_REMARKS = 10_000
