// The key that a page of the loopback host must send besides its cookie. Browsers send a cookie to every
// server on 127.0.0.1, whatever its port; localStorage is bound to the origin, port included, and the key
// is never sent automatically. Electron has no key.

/** Where the page stores its key (localStorage). */
export const PAGE_KEY_ITEM = 'takeloft.page-key'
/** Header of every request for sound, pictures and takes. */
export const PAGE_KEY_HEADER = 'x-takeloft-key'
/** Subprotocol of a window's WebSocket; the key is offered as a second one, as a page cannot set headers. */
export const PORT_PROTOCOL = 'takeloft'
/** Path for a page without a key, which explains how to get one. */
export const WITHOUT_KEY_PAGE = '/?without-key'
