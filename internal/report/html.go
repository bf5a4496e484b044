package report

import (
	_ "embed"
	"html/template"
	"io"

	"draghand/internal/record"
)

// pageText is the template of the report.
//
//go:embed page.html
var pageText string

// partsText is what all pages have in common: head and foot, the look, tables of
// pairs, lists.
//
//go:embed parts.html
var partsText string

// HTML writes a record as one page that needs nothing else: no script, no font,
// no picture from elsewhere, nothing that loads. Text from outside is text in it.
// The readings are passed once, and the memory taken does not grow with them. Of
// a damaged record what is intact is written, it says so, and the damage comes
// back as the error.
func HTML(w io.Writer, rec *record.Record, o Options) error {
	f := gather(rec, o)
	if err := f.write(w); err != nil {
		return err
	}
	return f.damage
}

// write writes the page.
func (f *facts) write(w io.Writer) error {
	return fill(w, pageText, f.page())
}

// fill writes a page by its template.
func fill(w io.Writer, text string, data any) error {
	t, err := template.New("page").Parse(text)
	if err == nil {
		_, err = t.New("parts").Parse(partsText)
	}
	if err != nil {
		return err
	}
	var page plainWriter
	if err := t.Execute(&page, data); err != nil {
		return err
	}
	return page.writeTo(w)
}
