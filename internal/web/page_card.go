package web

import (
	"io"
	"net/http"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
)

// cardPage is the driver's card of a vehicle.
type cardPage struct {
	Page
	Left  message.Text // what the owner leaves as it is
	Parts []cardPart
}

type cardPart struct {
	Title message.Text
	Signs []advise.CardSignView
}

func (s *Server) cardPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	if wantsPDF(r) {
		return s.paper(w, r, d.vehicle.Reader, func(p print.Paper, w io.Writer) error { return p.Card(w, d.report) })
	}
	page := cardPage{Page: s.page(r, d, "card", "Driver's card, %s")}
	view := d.report.CardView()
	page.Left = view.Left
	for _, sign := range view.Signs {
		title := advise.AdviceWords(sign.Do)
		if n := len(page.Parts); n == 0 || page.Parts[n-1].Title != title {
			page.Parts = append(page.Parts, cardPart{Title: title})
		}
		last := &page.Parts[len(page.Parts)-1]
		last.Signs = append(last.Signs, sign)
	}
	return s.answer(w, r, "card", page, view)
}
