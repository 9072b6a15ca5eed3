"""The shapes that stand beside a state's word, drawn for this book on a field of 16 by 16.

A shape says how a thing stands, not which app it belongs to; each app picks the shape for its own states.
"""

_RING = '<circle cx="8" cy="8" r="6.25"/>'
_DISK = '<circle class="solid" cx="8" cy="8" r="6.25"/>'
_CALL = '<path d="M8 5v3.75M8 11.25v.25"/>'

# Marked strokes: `solid` is filled with the ink, `cut` is drawn in the color of the paper.
SHAPES: dict[str, str] = {
    # How a thing stands.
    "draft": '<circle cx="8" cy="8" r="6.25" stroke-dasharray="2.6 2.3"/>',
    "open": _RING,
    "going": '<path class="solid" d="M4.5 2.5 13 8l-8.5 5.5z"/>',
    "waiting": f'{_RING}<path class="solid" d="M8 1.75a6.25 6.25 0 0 1 0 12.5z"/>',
    "review": '<path d="M8 1.5 14.5 8 8 14.5 1.5 8z"/><circle class="solid" cx="8" cy="8" r="1.1"/>',
    "ready": f'{_DISK}<path class="cut" d="m5 8.25 2.25 2.25L11.25 6"/>',
    "done": '<path d="m2.5 8.75 3.75 3.75L13.5 4.5"/>',
    "away": '<path d="M2.5 8h10M8.5 3.75 12.75 8 8.5 12.25"/>',
    "locked": '<path class="solid" d="M3 7.5h10v6H3z"/><path d="M5 7.25V5a3 3 0 0 1 6 0v2.25"/>',
    "hold": '<path d="M5.25 1.75h5.5l3.5 3.5v5.5l-3.5 3.5h-5.5l-3.5-3.5v-5.5z"/><path d="M6.25 5.5v5M9.75 5.5v5"/>',
    "late": '<path class="solid" d="M8 1 15 8l-7 7-7-7z"/><path class="cut" d="M8 4.75v3.75M8 11v.25"/>',
    "risk": '<path d="M8 1.75 15 14H1z"/><path d="M8 6.25v3.5M8 11.75V12"/>',
    "struck": f'{_RING}<path d="m3.75 12.25 8.5-8.5"/>',
    # What a line of text says.
    "note": '<path d="M3 2.5h10M3 6.25h10M3 10h6.5"/>',
    "ask": f'{_RING}<path d="M6 6.25a2 2 0 1 1 2.9 1.8c-.6.3-.9.7-.9 1.3M8 11.5v.25"/>',
    "stop": f'{_DISK}<path class="cut" d="M8 4.5v4.25M8 11.25v.25"/>',
    "lye": '<path d="M8 1.5c2.6 3.4 4.25 5.6 4.25 8.1a4.25 4.25 0 0 1-8.5 0C3.75 7.1 5.4 4.9 8 1.5z"/>' + _CALL,
    # What a control does.
    "search": '<circle cx="6.75" cy="6.75" r="4.5"/><path d="m10.25 10.25 4 4"/>',
    "add": '<path d="M8 2.5v11M2.5 8h11"/>',
    "back": '<path d="M13.5 8h-10M7.5 3.75 3.25 8l4.25 4.25"/>',
    "print": '<path d="M4.5 6V2h7v4M4.5 11.5H2V6h12v5.5h-2.5M4.5 9.5h7V14h-7z"/>',
}
