package picture

// arms are the lines of U+2500 to U+257F from the middle of the cell up, to the
// right, down and to the left: 0 none, 1 light, 2 heavy, 3 double. Dashes,
// arcs and diagonals have an entry too (what they resemble) but are drawn apart.
var arms = [128]string{
	"0101", "0202", "1010", "2020", "0101", "0202", "1010", "2020", "0101", "0202", "1010", "2020", "0110", "0210", "0120", "0220",
	"0011", "0012", "0021", "0022", "1100", "1200", "2100", "2200", "1001", "1002", "2001", "2002", "1110", "1210", "2110", "1120",
	"2120", "2210", "1220", "2220", "1011", "1012", "2011", "1021", "2021", "2012", "1022", "2022", "0111", "0112", "0211", "0212",
	"0121", "0122", "0221", "0222", "1101", "1102", "1201", "1202", "2101", "2102", "2201", "2202", "1111", "1112", "1211", "1212",
	"2111", "1121", "2121", "2112", "2211", "1122", "1221", "2212", "1222", "2122", "2221", "2222", "0101", "0202", "1010", "2020",
	"0303", "3030", "0310", "0130", "0330", "0013", "0031", "0033", "1300", "3100", "3300", "1003", "3001", "3003", "1310", "3130",
	"3330", "1013", "3031", "3033", "0313", "0131", "0333", "1303", "3101", "3303", "1313", "3131", "3333", "0110", "0011", "1001",
	"1100", "0000", "0000", "0000", "0001", "1000", "0100", "0010", "0002", "2000", "0200", "0020", "0201", "1020", "0102", "2010",
}

// dashes is into how many pieces a dashed line is cut; 0 for any other.
func dashes(r rune) int {
	switch {
	case r >= 0x2504 && r <= 0x2507:
		return 3
	case r >= 0x2508 && r <= 0x250b:
		return 4
	case r >= 0x254c && r <= 0x254f:
		return 2
	}
	return 0
}

func (p *pen) box(r rune) {
	switch {
	case r >= 0x256d && r <= 0x2570:
		p.arc(r)
		return
	case r >= 0x2571 && r <= 0x2573:
		w, h, t := float32(p.w), float32(p.h), float32(p.scale)
		if r != 0x2572 {
			p.line(0, h, w, 0, t)
		}
		if r != 0x2571 {
			p.line(0, 0, w, h, t)
		}
		return
	}
	a := arms[r-0x2500]
	if n := dashes(r); n > 0 {
		p.dashed(a[1] != '0', a[0] == '2' || a[1] == '2', n)
		return
	}
	for dir := range 4 {
		p.arm(dir, a)
	}
}

// span fills the rectangle along direction dir (0 up, 1 right, 2 down, 3 left)
// from the distance from off the middle of the cell to its edge, with its
// sides at lo and hi across. Across is to the right for up and down, downward
// for the others.
func (p *pen) span(dir, from, lo, hi int) {
	cx, cy := p.w/2, p.h/2
	switch dir {
	case 0:
		p.rect(cx+lo, 0, cx+hi, cy-from)
	case 1:
		p.rect(cx+from, cy+lo, p.w, cy+hi)
	case 2:
		p.rect(cx+lo, cy+from, cx+hi, p.h)
	case 3:
		p.rect(0, cy+lo, cx-from, cy+hi)
	}
}

// arm draws one of the four lines. Where it starts depends on what crosses it:
// a double line's two strokes meet the inner or outer stroke of the other.
func (p *pen) arm(dir int, a string) {
	t := p.scale // thickness of a light line; a heavy one has three
	weight := func(d int) byte { return a[(dir+d)%4] }
	self, ahead := weight(0), weight(2)
	// The neighbours by side: before is up or left, after is down or right.
	before, after := weight(3), weight(1)
	if dir >= 2 {
		before, after = after, before
	}
	// Left and up run against the pixel grid: a line of thickness t about the
	// middle covers 0 to t, so that to reach it from there one stops at 0.
	grid := 0
	if dir == 0 || dir == 3 {
		grid = t
	}
	switch self {
	case '1', '2':
		lo, hi := 0, t
		if self == '2' {
			lo, hi = -t, 2*t
		}
		from := 0
		switch {
		case before == '3' && after == '3' && ahead == '0':
			from = t // from the nearer stroke
		case (before == '3' || after == '3') && ahead == '0':
			from = -t // to the farther stroke, so that the corner closes
		case before == '2' || after == '2':
			from = -t // through a heavy line's width
		}
		p.span(dir, from-grid, lo, hi)
	case '3':
		for _, side := range [2]struct{ lo, own, other int }{{-t, int(before), int(after)}, {t, int(after), int(before)}} {
			from := 0
			switch {
			case side.own == '3':
				from = t
			case side.own == '0' && side.other == '3' && ahead == '0':
				from = -t
			}
			p.span(dir, from-grid, side.lo, side.lo+t)
		}
	}
}

func (p *pen) dashed(across, heavy bool, n int) {
	t := p.scale
	lo, hi := 0, t
	if heavy {
		lo, hi = -t, 2*t
	}
	for i := range n {
		if across {
			p.rect(i*p.w/n+t/2, p.h/2+lo, (i+1)*p.w/n-(t+1)/2, p.h/2+hi)
		} else {
			p.rect(p.w/2+lo, i*p.h/n+t, p.w/2+hi, (i+1)*p.h/n-t)
		}
	}
}

// arc draws a rounded corner: a quarter of a circle between straight ends that
// meet the lines of the neighbouring cells.
func (p *pen) arc(r rune) {
	t := float32(p.scale)
	cx, cy := float32(p.w/2)+t/2, float32(p.h/2)+t/2
	w, h := float32(p.w), float32(p.h)
	// Ends: on the left or right edge, and on the upper or lower one.
	ex, ey, sx, sy := w, h, float32(1), float32(1)
	if r == '╮' || r == '╯' {
		ex, sx = 0, -1
	}
	if r == '╯' || r == '╰' {
		ey, sy = 0, -1
	}
	radius := w/2 - t/2
	const k = 0.5523 // a cubic's handle for a quarter of a circle
	ring := func(rad float32, back bool) [4][2]float32 {
		mx, my := cx+sx*radius, cy+sy*radius // centre of the circle
		pts := [4][2]float32{{mx, my - sy*rad}, {mx - sx*rad*k, my - sy*rad}, {mx - sx*rad, my - sy*rad*k}, {mx - sx*rad, my}}
		if back {
			pts[0], pts[1], pts[2], pts[3] = pts[3], pts[2], pts[1], pts[0]
		}
		return pts
	}
	out, in := ring(radius+t/2, false), ring(radius-t/2, true)
	p.begin()
	p.ras.MoveTo(ex, cy-sy*t/2)
	p.ras.LineTo(out[0][0], out[0][1])
	p.ras.CubeTo(out[1][0], out[1][1], out[2][0], out[2][1], out[3][0], out[3][1])
	p.ras.LineTo(cx-sx*t/2, ey)
	p.ras.LineTo(cx+sx*t/2, ey)
	p.ras.LineTo(in[0][0], in[0][1])
	p.ras.CubeTo(in[1][0], in[1][1], in[2][0], in[2][1], in[3][0], in[3][1])
	p.ras.LineTo(ex, cy+sy*t/2)
	p.ras.ClosePath()
	p.end()
}
