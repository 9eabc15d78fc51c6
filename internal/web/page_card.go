package web

import (
	"net/http"

	"undertray/internal/advise"
)

// cardPage is the driver's card of a vehicle.
type cardPage struct {
	Page
	Left  string // what the owner leaves as it is
	Parts []cardPart
}

type cardPart struct {
	Title string
	Signs []advise.CardSignView
}

func (s *Server) cardPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	page := cardPage{Page: s.page(r, d, "card", "Driver's card, "+d.vehicle.Name)}
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
