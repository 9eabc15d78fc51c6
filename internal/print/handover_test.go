package print

import (
	"bytes"
	"strings"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/units"
)

// Of every vehicle of the demo the summary is one page, on either paper and for whomever:
// every row of it stands there. The record behind it has every line once.
func TestHandoverIsOnePageAndTheRecord(t *testing.T) {
	said := func(text string) string { return strings.Join(strings.Fields(text), "") }
	for id, r := range demotest.Reports(t) {
		for _, whom := range handover.Whom() {
			h := handover.New(r, whom, handover.With{})
			v := h.View(units.Preferences{})
			for _, size := range []Size{A4, Letter} {
				var pdf bytes.Buffer
				if err := (Paper{Size: size}).Handover(&pdf, h); err != nil {
					t.Fatal(err)
				}
				file := written(t, pdf.Bytes())
				all := pages(t, file)
				if driver := whom == handover.Driver; driver != (len(all) == 1) {
					t.Errorf("%s for the %s on %s: %d pages", id, whom, size, len(all))
				}
				first := said(poppler(t, "pdftotext", "-raw", "-l", "1", file, "-"))
				rest := ""
				if len(all) > 1 {
					rest = said(poppler(t, "pdftotext", "-raw", "-f", "2", file, "-"))
				}
				for _, sec := range v.Sections {
					for _, row := range sec.Rows {
						if !strings.Contains(first, said(row.Words.String())) {
							t.Errorf("%s for the %s on %s lacks on its first page %q", id, whom, size, row.Words)
						}
					}
				}
				if len(all) > 1 && !strings.Contains(all[1], "The record by part") {
					t.Errorf("%s for the %s on %s: the summary goes on over the page", id, whom, size)
				}
				lines := 0
				for _, p := range v.Parts {
					lines += len(p.Lines)
					for _, l := range p.Lines {
						if l.Found && !strings.Contains(rest, said(l.When.String())) {
							t.Errorf("%s: the record lacks %s, %s", id, l.When, l.Words)
						}
					}
				}
				t.Logf("%s for the %s on %s: %d pages, %d lines", id, whom, size, len(all), lines)
			}
		}
	}
}
