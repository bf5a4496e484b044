package report

import (
	"bytes"
	"image/color"
	"image/png"
	"testing"

	"draghand/internal/record"
)

// picture checks the PNG of a record: its size, that it is not blank, and that
// the trace is in it where there is one.
func picture(t *testing.T, rec *record.Record, o Options, noTrace bool) {
	t.Helper()
	var b bytes.Buffer
	if err := PNG(&b, rec, o); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	if s := img.Bounds().Size(); s.X != 1600 || s.Y != 900 {
		t.Errorf("the picture is %v", s)
	}
	dark, force := 0, 0
	for y := range 900 {
		for x := range 1600 {
			c := color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)
			if c.R < 0x60 && c.G < 0x60 && c.B < 0x60 {
				dark++
			}
			if c == (color.NRGBA{0x17, 0x4f, 0x78, 0xff}) {
				force++
			}
		}
	}
	if dark < 500 {
		t.Errorf("%d dark dots: there are no words in it", dark)
	}
	if !noTrace && force < 300 || noTrace && force > 0 {
		t.Errorf("%d dots of the trace", force)
	}
}
