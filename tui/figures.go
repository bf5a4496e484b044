package tui

// The big figures are our own: five rows of chunks, drawn at any size. At size
// s a chunk is s cells wide and s/2 high, which is about square, and from size
// 2 on its bends are rounded off by a quarter cell.
var glyphs = map[rune][5]string{
	'0': {"###", "#.#", "#.#", "#.#", "###"},
	'1': {".#.", "##.", ".#.", ".#.", "###"},
	'2': {"###", "..#", "###", "#..", "###"},
	'3': {"###", "..#", ".##", "..#", "###"},
	'4': {"#.#", "#.#", "###", "..#", "..#"},
	'5': {"###", "#..", "###", "..#", "###"},
	'6': {"###", "#..", "###", "#.#", "###"},
	'7': {"###", "..#", "..#", ".#.", ".#."},
	'8': {"###", "#.#", "###", "#.#", "###"},
	'9': {"###", "#.#", "###", "..#", "###"},
	'-': {"..", "..", "##", "..", ".."},
	'–': {"..", "..", "##", "..", ".."},
	'.': {".", ".", ".", ".", "#"},
	',': {".", ".", ".", ".", "."}, // thousands: a gap, so that the one mark is the decimal point
	' ': {"..", "..", "..", "..", ".."},
	'A': {"###", "#.#", "###", "#.#", "#.#"},
	'D': {"##.", "#.#", "#.#", "#.#", "##."},
	'E': {"###", "#..", "##.", "#..", "###"},
	'G': {"####", "#...", "#.##", "#..#", "####"},
	'H': {"#.#", "#.#", "###", "#.#", "#.#"},
	'I': {"#", "#", "#", "#", "#"},
	'L': {"#..", "#..", "#..", "#..", "###"},
	'M': {"#...#", "##.##", "#.#.#", "#...#", "#...#"},
	'N': {"#..#", "##.#", "#.##", "#..#", "#..#"},
	'O': {"###", "#.#", "#.#", "#.#", "###"},
	'P': {"###", "#.#", "###", "#..", "#.."},
	'R': {"###", "#.#", "##.", "#.#", "#.#"},
	'S': {"###", "#..", "###", "..#", "###"},
	'T': {"###", ".#.", ".#.", ".#.", ".#."},
	'U': {"#.#", "#.#", "#.#", "#.#", "###"},
	'W': {"#...#", "#...#", "#.#.#", "##.##", "#...#"},
	'V': {"#.#", "#.#", "#.#", "#.#", ".#."},
}

// quarter is the block for each set of filled quarters of a cell: bit 0 upper
// left, 1 upper right, 2 lower left, 3 lower right.
var quarter = [16]rune{' ', '▘', '▝', '▀', '▖', '▌', '▞', '▛', '▗', '▚', '▐', '▜', '▄', '▙', '▟', '█'}

// figureSize is how many cells a text takes at a size; characters without a
// glyph take none.
func figureSize(s string, size int) (w, h int) {
	for _, r := range s {
		if g, ok := glyphs[r]; ok {
			w += (len(g[0]) + gap(size)) * size
			if gap(size) == 0 {
				w++
			}
		}
	}
	if w > 0 {
		w -= max(1, gap(size)*size)
	}
	return w, (5*size + 1) / 2
}

// gap is the space between figures in chunks; from size 2 on one cell is enough.
func gap(size int) int {
	if size <= 1 {
		return 1
	}
	return 0
}

// fit is the largest size from most down to 1 at which a text is no wider and
// no higher than the room there is; 0 where none is.
func fit(s string, most, w, h int) int {
	for size := most; size > 0; size-- {
		if fw, fh := figureSize(s, size); fw <= w && fh <= h {
			return size
		}
	}
	return 0
}

// figures draws a text at a size with its upper left corner at x, y and returns
// the column after it.
func (p *plate) figures(x, y int, s string, size int, k ink) int {
	for _, r := range s {
		g, ok := glyphs[r]
		if !ok {
			continue
		}
		wide := len(g[0]) * size
		for cy := range (5*size + 1) / 2 {
			for cx := range wide {
				q := 0
				for bit, d := range [4][2]int{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
					if filled(&g, 2*cx+d[0], 2*cy+d[1], size) {
						q |= 1 << bit
					}
				}
				if q != 0 {
					p.set(x+cx, y+cy, quarter[q], k)
				}
			}
		}
		x += wide + max(1, gap(size)*size)
	}
	return x - max(1, gap(size)*size)
}

// filled says whether the quarter cell at qx, qy belongs to the glyph. A chunk
// is 2·size quarters wide and size high.
func filled(g *[5]string, qx, qy, size int) bool {
	cx, cy := qx/(2*size), qy/size
	if !chunk(g, cx, cy) {
		return false
	}
	if size < 2 {
		return true
	}
	// Round the outer corner of a bend; the end of a stroke stays square.
	dx, dy := 0, 0
	if qx%(2*size) == 0 {
		dx = -1
	} else if qx%(2*size) == 2*size-1 {
		dx = 1
	}
	if qy%size == 0 {
		dy = -1
	} else if qy%size == size-1 {
		dy = 1
	}
	if dx == 0 || dy == 0 || chunk(g, cx+dx, cy) || chunk(g, cx, cy+dy) {
		return true
	}
	return !chunk(g, cx-dx, cy) || !chunk(g, cx, cy-dy)
}

func chunk(g *[5]string, x, y int) bool {
	return y >= 0 && y < 5 && x >= 0 && x < len(g[0]) && g[y][x] == '#'
}
