"""Whether a recording's file ends before the recording did, by what its container says.

RIFF (WAV) gives its length in its head; an Ogg stream's last page is marked as such (RFC
3533); MP3 is a row of frames whose headers tell their lengths (ISO/IEC 11172-3), often with
the number of bytes in the first. FLAC's own reader notices.
"""

from __future__ import annotations

_NEVER_FILLED_IN = 0xFFFFFFFF
_OGG_HEAD, _OGG_LAST = 27, 4
_RATES = (44100, 48000, 32000)
_KBITS = {  # layer III
    1: (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320),
    2: (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
}
_IN_A_ROW = 3  # frames that follow each other are frames, not chance
_ID3_TAIL = 128

TAIL_BYTES = 1 << 17  # more than two of the longest Ogg pages


def cut_short(head: bytes, tail: bytes, size: int) -> bool:
    """Whether the file of `size` bytes is cut off, from its first bytes (a few kilobytes) and
    its last ones (`TAIL_BYTES`, or all); False where its container does not tell."""
    if head[:4] == b"RIFF":
        said = int.from_bytes(head[4:8], "little")
        return size < said + 8 and said != _NEVER_FILLED_IN
    if head[:4] == b"OggS":
        return not _ends_ogg(tail)
    if head[:3] == b"ID3" or _frame_bytes(head, 0):
        return _mp3_cut(head, tail, size)
    return False


def _ends_ogg(tail: bytes) -> bool:
    """Whether the last page is whole and marked as the stream's last."""
    at = tail.rfind(b"OggS")
    if at < 0 or len(tail) < at + _OGG_HEAD:
        return False
    table = at + _OGG_HEAD
    lengths = tail[table : table + tail[table - 1]]
    whole = len(tail) >= table + tail[table - 1] + sum(lengths)
    return whole and bool(tail[at + 5] & _OGG_LAST)


def _mp3_cut(head: bytes, tail: bytes, size: int) -> bool:
    start = _after_id3(head)
    said = _said_bytes(head, start)
    if said is not None:
        return size < start + said
    tagged = tail[-_ID3_TAIL:][:3] == b"TAG"
    end = len(tail) - (_ID3_TAIL if tagged else 0)
    at = next((i for i in range(len(tail)) if _frames_follow(tail, i)), None)
    if at is None:
        return False
    while at + 4 <= end and (length := _frame_bytes(tail, at)):
        at += length
    return at > end


def _after_id3(head: bytes) -> int:
    """Where the first frame begins: after the tag, whose size has seven bits in each byte."""
    if head[:3] != b"ID3" or len(head) < 10:
        return 0
    length = 0
    for byte in head[6:10]:
        length = length << 7 | byte & 0x7F
    return 10 + length


def _said_bytes(head: bytes, start: int) -> int | None:
    """Bytes of all frames, as the first one says if it has a table ("Xing" or "Info")."""
    for name in (b"Xing", b"Info"):
        at = head.find(name, start, start + 64)
        if at >= 0 and len(head) >= at + 16 and (flags := head[at + 7]) & 2:
            place = at + 8 + (4 if flags & 1 else 0)
            return int.from_bytes(head[place : place + 4], "big")
    return None


def _frames_follow(data: bytes, at: int) -> bool:
    for _ in range(_IN_A_ROW):
        length = _frame_bytes(data, at)
        if not length:
            return False
        at += length
    return True


def _frame_bytes(data: bytes, at: int) -> int:
    """Length of the layer III frame that begins here; 0 if none does."""
    if len(data) < at + 4 or data[at] != 0xFF or data[at + 1] & 0xE6 != 0xE2:
        return 0
    version = data[at + 1] >> 3 & 3  # 3 is MPEG 1, 2 is MPEG 2, 0 is MPEG 2.5
    kbits, rate = data[at + 2] >> 4, data[at + 2] >> 2 & 3
    if version == 1 or kbits in (0, 15) or rate == 3:
        return 0
    halved = {3: 1, 2: 2, 0: 4}[version]
    samples = 1152 if version == 3 else 576
    bits = 1000 * _KBITS[1 if version == 3 else 2][kbits]
    return samples * bits // (8 * (_RATES[rate] // halved)) + (data[at + 2] >> 1 & 1)
