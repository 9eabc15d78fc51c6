package web

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/handfile"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
)

// handoverPage is what is handed over with a vehicle, to be read, printed or given away.
type handoverPage struct {
	Page
	View  handover.View
	Whom  []handover.For
	Parts []handoverPart
	Asked url.Values
	Gives bool // who looks may give it away
}

// handoverPart is the record of one part with its newest pictures.
type handoverPart struct {
	handover.PartView
	Shots []pictureRow
	More  int
}

// shotsOfPart is how many pictures of a part a hand-over shows.
const shotsOfPart = 6

// handed gathers what is asked for.
func (s *Server) handed(r *http.Request, f url.Values) (*desk, *handover.Handover, error) {
	d, err := s.whole(r)
	if err != nil {
		return nil, nil, err
	}
	whom := handover.For(f.Get("for"))
	for _, w := range handover.Whom() {
		if whom == "" || whom == w {
			return d, handover.New(d.report, w, handover.With{Prices: f.Get("prices") != "",
				Names: f.Get("names") != ""}), nil
		}
	}
	return nil, nil, &fleet.Error{Kind: fleet.Invalid, Where: "for",
		Msg: message.Of("%.40q is nobody known here", whom), Hint: "write buyer, mechanic or driver"}
}

func (s *Server) handoverPage(w http.ResponseWriter, r *http.Request) error {
	d, h, err := s.handed(r, r.URL.Query())
	if err != nil {
		return err
	}
	page := handoverPage{Page: s.page(r, d, "record", "Hand-over of %s"),
		View: h.View(d.vehicle.Reader), Whom: handover.Whom(), Asked: r.URL.Query(), Gives: s.gives(r)}
	page.told(page.View.Headline)
	for _, p := range page.View.Parts {
		part := handoverPart{PartView: p, More: max(len(p.Pictures)-shotsOfPart, 0)}
		for _, e := range p.Pictures[:len(p.Pictures)-part.More] {
			part.Shots = append(part.Shots, d.pictureRow(e))
		}
		page.Parts = append(page.Parts, part)
	}
	return s.answer(w, r, "handover", page, page.View)
}

// handoverPaper sends the hand-over as PDF.
func (s *Server) handoverPaper(w http.ResponseWriter, r *http.Request) error {
	d, h, err := s.handed(r, r.URL.Query())
	if err != nil {
		return err
	}
	size, err := print.ParseSize(r.URL.Query().Get("paper"))
	if err != nil {
		return err
	}
	paper := print.Paper{Size: size, Units: d.vehicle.Reader, Language: s.inLanguage(r),
		Picture: func(hash string) ([]byte, error) { return s.pictureSource(r.Context(), hash, true) }}
	var pdf bytes.Buffer
	if err := paper.Handover(&pdf, h); err != nil {
		return err
	}
	attached(w, "application/pdf", d.vehicle.ID+"-"+string(h.For)+".pdf")
	_, err = w.Write(pdf.Bytes())
	return quiet(err)
}

func attached(w http.ResponseWriter, media, name string) {
	w.Header().Set("Content-Type", media)
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", name))
}

// handoverFile makes the file for another yard and sends it.
func (s *Server) handoverFile(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	leave := handfile.Leave{Prices: r.PostForm.Get("prices") == "", Names: r.PostForm.Get("names") == ""}
	f, about, err := handfile.Make(r.Context(), d.yard, s.opt.Journal, d.vehicle.ID, "", leave, s.opt.Now())
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	attached(w, "application/x-tar", d.vehicle.ID+"-"+about.Made.Format("2006-01-02")+".tar")
	http.ServeContent(w, r, "", time.Time{}, f)
	return nil
}

// takePage takes in what another yard gave.
type takePage struct {
	Page
	Told   []message.Text // what became of a file, or what it holds
	Here   string         // the vehicle it was taken in as
	Faults []fault
}

// maxTaken is the largest file that is taken in by the page, in bytes.
const maxTaken = 2 << 30

func (s *Server) takePage(w http.ResponseWriter, r *http.Request) error {
	return s.answer(w, r, "take", takePage{Page: s.base(r, "Take a vehicle in")}, map[string]string{"take": "/take"})
}

func (s *Server) takeKeep(w http.ResponseWriter, r *http.Request) error {
	taken, look, err := s.take(r)
	var large *http.MaxBytesError
	if err != nil && (fleet.KindOf(err) == fleet.Internal || wantsJSON(r) || errors.As(err, &large)) {
		return err
	}
	page := takePage{Page: s.base(r, "Take a vehicle in")}
	if err != nil {
		page.Faults = faults(err)
		return s.render(w, r, status(err), "take", page)
	}
	if page.Told = taken.Told(look); !look {
		page.Here = taken.Here
	}
	return s.answer(w, r, "take", page, taken)
}

// take reads the file of a form and takes it in, or with look only says what it holds.
func (s *Server) take(r *http.Request) (taken handfile.Taken, look bool, err error) {
	none := &fleet.Error{Kind: fleet.Invalid, Where: "file", Msg: "no file came with the form", Hint: "choose one"}
	if err := r.ParseMultipartForm(maxBody); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return taken, look, err
		}
		return taken, look, none
	}
	defer r.MultipartForm.RemoveAll()
	look = r.PostForm.Get("look") != ""
	f, head, err := r.FormFile("file")
	if err != nil {
		return taken, look, none
	}
	defer f.Close()
	y, err := s.yards.open()
	if err != nil {
		return taken, look, err
	}
	taken, err = handfile.Take(r.Context(), y, s.opt.Journal, io.ReadSeeker(f), fmt.Sprintf("%.80s", head.Filename),
		handfile.Options{Now: s.opt.Now(), Room: y.Settings.Pictures.Bytes(), Look: look})
	return taken, look, err
}
