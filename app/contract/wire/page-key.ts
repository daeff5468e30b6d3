// What a page of the loopback host has to show besides its cookie. A cookie goes to every server on 127.0.0.1,
// whatever its port; what a page stores stays with its origin, port included. The key goes nowhere by itself.
// In Electron there is none.

/** Where the page stores its key (localStorage). */
export const PAGE_KEY_ITEM = 'takeloft.page-key'
/** With every request for sound, pictures and takes. */
export const PAGE_KEY_HEADER = 'x-takeloft-key'
/** Of a window's WebSocket; the key is offered as a second subprotocol, because a page can set no header there. */
export const PORT_PROTOCOL = 'takeloft'
/** Where a page goes that has no key, to be told how to get one. */
export const WITHOUT_KEY_PAGE = '/?without-key'
