"""Reading a QR code back, by ISO/IEC 18004:2015: bytes in small versions at level M or better; nothing is repaired."""

import re

# Table 12: the levels by their two bits. Table 9: how many blocks of how many data words, by version and level.
LEVELS = {0b00: "M", 0b11: "Q", 0b10: "H"}
BLOCKS = {
    "1M": (1, 16), "2M": (1, 28), "3M": (1, 44), "4M": (2, 32), "5M": (2, 43), "6M": (4, 27),
    "1Q": (1, 13), "2Q": (1, 22), "3Q": (2, 17), "4Q": (2, 24), "1H": (1, 9), "2H": (1, 16),
}  # fmt: skip
# Table 10: which modules a mask turns over, by row i and column j.
MASKS = (
    lambda i, j: (i + j) % 2, lambda i, j: i % 2, lambda i, j: j % 3, lambda i, j: (i + j) % 3,
    lambda i, j: (i // 2 + j // 3) % 2, lambda i, j: i * j % 2 + i * j % 3,
    lambda i, j: (i * j % 2 + i * j % 3) % 2, lambda i, j: ((i + j) % 2 + i * j % 3) % 2,
)  # fmt: skip
QUIET = 4
Modules = list[list[bool]]


def modules_of(svg: str) -> Modules:
    """The dark modules of a code drawn as runs of strokes, with the quiet margin checked and taken off."""
    across, down = map(int, re.search(r'viewBox="0 0 (\d+) (\d+)"', svg).groups())
    grid = [[False] * across for _ in range(down)]
    x, y = 0.0, 0.0
    path = re.search(r'stroke="#000" d="([^"]+)"', svg)[1]
    for kind, said in re.findall(r"([Mmh])([-\d. ]+)", path):
        numbers = [float(one) for one in re.findall(r"-?[\d.]+", said)]
        if kind == "h":
            for n in range(int(numbers[0])):
                grid[int(y)][int(x) + n] = True
            x += numbers[0]
        else:
            x, y = (numbers[0], numbers[1]) if kind == "M" else (x + numbers[0], y + numbers[1])
    margin = [*grid[:QUIET], *grid[-QUIET:], *(row[:QUIET] + row[-QUIET:] for row in grid)]
    assert not any(map(any, margin))
    return [row[QUIET:-QUIET] for row in grid[QUIET:-QUIET]]


def text_of(svg: str) -> str:
    """What the code says."""
    grid = modules_of(svg)
    size = len(grid)
    version = (size - 17) // 4
    # 7.9: five bits of format beside the upper left finder, masked with 10101.
    form = sum(grid[8][j] << (4 - j) for j in range(5)) ^ 0b10101
    level = LEVELS[form >> 3]
    flips = MASKS[form & 0b111]
    bits = [
        grid[i][j] ^ (not flips(i, j)) for i, j in _places(size) if not _is_function(i, j, size)
    ]  # fmt: skip
    words = [sum(bit << (7 - n) for n, bit in enumerate(bits[k : k + 8])) for k in range(0, len(bits) - 7, 8)]
    count, length = BLOCKS[f"{version}{level}"]
    data = [words[n * count + block] for block in range(count) for n in range(length)]
    stream = "".join(f"{word:08b}" for word in data)
    assert stream[:4] == "0100"  # 7.4.5: bytes
    amount = int(stream[4:12], 2)
    return bytes(int(stream[12 + 8 * n : 20 + 8 * n], 2) for n in range(amount)).decode()


def _places(size: int) -> list[tuple[int, int]]:
    """7.7.3: two columns at a time from the right, up and down in turn, the timing column left out."""
    columns = [*range(size - 1, 6, -2), 5, 3, 1]
    places = []
    for n, right in enumerate(columns):
        rows = range(size - 1, -1, -1) if n % 2 == 0 else range(size)
        places += [(i, j) for i in rows for j in (right, right - 1)]
    return places


def _is_function(i: int, j: int, size: int) -> bool:
    """Finders with their formats, timing, and the one alignment pattern of versions 2 to 6."""
    finder = (i < 9 and (j < 9 or j >= size - 8)) or (i >= size - 8 and j < 9)
    centre = size - 7
    alignment = size > 21 and abs(i - centre) <= 2 and abs(j - centre) <= 2
    return finder or i == 6 or j == 6 or alignment
