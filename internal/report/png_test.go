package report

import (
	"bytes"
	"image"
	"image/png"
	"testing"
)

// picture checks the PNG of a record: its size, that it is not blank, and that
// the trace is in it where there is one.
func picture(t *testing.T, f *facts, noTrace bool) {
	t.Helper()
	var b bytes.Buffer
	if err := f.draw(&b); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	if s := img.Bounds().Size(); s.X != 1600 || s.Y != 900 {
		t.Errorf("the picture is %v", s)
	}
	dots, ok := img.(*image.RGBA)
	if !ok {
		t.Fatalf("the picture is a %T", img)
	}
	dark, force := 0, 0
	for i := 0; i < len(dots.Pix); i += 4 {
		switch c := dots.Pix[i : i+3]; {
		case c[0] == 0x17 && c[1] == 0x4f && c[2] == 0x78:
			force++
		case c[0] < 0x60 && c[1] < 0x60 && c[2] < 0x60:
			dark++
		}
	}
	if dark < 500 {
		t.Errorf("%d dark dots: there are no words in it", dark)
	}
	if !noTrace && force < 300 || noTrace && force > 0 {
		t.Errorf("%d dots of the trace", force)
	}
}
