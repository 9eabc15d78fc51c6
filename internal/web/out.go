package web

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/cells"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// What a page shows is taken out at its own address with format=: its lists as tables (cells.Forms) and JSON Lines, all
// of it as JSON, its drawings, where it has a sheet that as PDF, and "which" as a page that names them all.
const (
	formatField = "format"
	formatWhich = "which"
)

// papers are the pages that have a sheet of paper.
var papers = []string{"GET /v/{id}/round", "GET /v/{id}/job", "GET /v/{id}/plan", "GET /v/{id}/plan/parts",
	"GET /plan", "GET /plan/parts", "GET /v/{id}/card", "GET /v/{id}/opened"}

// outPage names the forms in which a page can be taken out.
type outPage struct {
	Page
	Headline message.Text
	Back     string
	Lists    []outList
	Drawings []outDrawing
	JSON     string
	PDF      string // "" where the page has no sheet
}

type outList struct {
	Name, Rows string
	Forms      []choice // addresses and names
}

type outDrawing struct{ Name, Path string }

// takeOut answers a page's address with format=.
func (s *Server) takeOut(w http.ResponseWriter, r *http.Request, h handler, form string) error {
	q := r.URL.Query()
	list, drawing := q.Get("list"), q.Get("drawing")
	for _, own := range []string{formatField, "list", "drawing"} {
		q.Del(own)
	}
	as := func(media string) (*sheaf, error) {
		inner := r.Clone(r.Context())
		inner.URL.RawQuery = q.Encode()
		inner.Header = http.Header{"Accept": {media}, "Cookie": r.Header["Cookie"]}
		page := &sheaf{header: http.Header{}}
		return page, h(page, inner)
	}
	name := fileName(r.URL.Path)
	switch {
	case form == formatWhich:
		return s.which(w, r, as, q)
	case form == "svg":
		page, err := as("text/html")
		if err != nil {
			return err
		}
		all := drawingsOf(page.Bytes())
		n, err := strconv.Atoi(drawing)
		if err != nil || n < 1 || n > len(all) {
			return noSuchForm(message.Of("the page has no drawing %q", drawing))
		}
		attached(w, "image/svg+xml", fmt.Sprintf("%s-%d.svg", name, n))
		_, err = io.WriteString(w, string(draw.SVG(all[n-1].svg).Alone()))
		return quiet(err)
	}
	page, err := as(jsonType)
	if err != nil {
		return err
	}
	if form == "json" {
		attached(w, jsonType, name+".json")
		_, err := w.Write(page.Bytes())
		return quiet(err)
	}
	lists, err := cells.Lists(page.Bytes())
	if err != nil {
		return err
	}
	i := slices.IndexFunc(lists, func(l cells.List) bool { return list == "" || l.Name == list })
	if i < 0 || form != "jsonl" && !slices.Contains(cells.Forms, form) {
		return noSuchForm("the page has no such list, or not in this form")
	}
	if form == "jsonl" {
		attached(w, "application/jsonl", name+".jsonl")
		for _, line := range lists[i].Lines {
			if _, err := fmt.Fprintf(w, "%s\n", bytes.ReplaceAll(line, []byte("\n"), nil)); err != nil {
				return quiet(err)
			}
		}
		return nil
	}
	attached(w, cells.Type(form), name+".csv")
	return quiet(cells.Write(w, form, lists[i].Rows))
}

// which says in which forms a page can be taken out.
func (s *Server) which(w http.ResponseWriter, r *http.Request, as func(string) (*sheaf, error), q url.Values) error {
	data, err := as(jsonType)
	if err != nil {
		return err
	}
	shown, err := as("text/html")
	if err != nil {
		return err
	}
	at := func(form, key, value string) string {
		with := url.Values{}
		for k, v := range q {
			with[k] = v
		}
		with.Set(formatField, form)
		if key != "" {
			with.Set(key, value)
		}
		return "?" + with.Encode()
	}
	page := outPage{Page: s.base(r, "Take it out"), Headline: "What this page shows, as files", Back: r.URL.Path,
		JSON: at("json", "", "")}
	page.TakeOut = ""
	if len(q) > 0 {
		page.Back += "?" + q.Encode()
	}
	if slices.Contains(papers, r.Pattern) {
		page.PDF = at("pdf", "", "")
	}
	lists, err := cells.Lists(data.Bytes())
	if err != nil {
		return noSuchForm("this page shows nothing that can be taken out")
	}
	for _, l := range lists {
		name := strings.ReplaceAll(l.Name, "_", " ")
		if name == "" {
			name = "all of it"
		}
		forms := []choice{{Value: at("csv", "list", l.Name), Say: "commas"},
			{Value: at("csv-semicolon", "list", l.Name), Say: "semicolons and decimal commas"},
			{Value: at("csv-tab", "list", l.Name), Say: "tabs"},
			{Value: at("jsonl", "list", l.Name), Say: "JSON Lines"}}
		page.Lists = append(page.Lists, outList{say.Capital(name), say.Several(len(l.Rows)-1, "row", "rows"), forms})
	}
	for i, d := range drawingsOf(shown.Bytes()) {
		page.Drawings = append(page.Drawings, outDrawing{d.title, at("svg", "drawing", strconv.Itoa(i+1))})
	}
	return s.render(w, r, http.StatusOK, "out", page)
}

func noSuchForm(msg message.Text) error {
	return &fleet.Error{Kind: fleet.NotFound, Msg: msg, Hint: "follow “Take it out” at the page's foot"}
}

// wantsPDF reports whether a page's sheet is asked for.
func wantsPDF(r *http.Request) bool { return r.URL.Query().Get(formatField) == "pdf" }

// paper sets a sheet of paper in the reader's units and language and sends it.
func (s *Server) paper(w http.ResponseWriter, r *http.Request, reads units.Preferences,
	set func(p print.Paper, w io.Writer) error) error {
	size, err := print.ParseSize(r.URL.Query().Get("paper"))
	if err != nil {
		return err
	}
	var pdf bytes.Buffer
	if err := set(print.Paper{Size: size, Units: reads, Language: s.inLanguage(r)}, &pdf); err != nil {
		return err
	}
	w.Header().Set("Vary", "Accept-Language")
	attached(w, "application/pdf", fileName(r.URL.Path)+".pdf")
	_, err = w.Write(pdf.Bytes())
	return quiet(err)
}

// fileName is what the file of a page is called.
func fileName(path string) string {
	parts := strings.FieldsFunc(strings.TrimPrefix(strings.TrimPrefix(path, "/v/"), "/kinds/"), func(c rune) bool {
		return c == '/'
	})
	if len(parts) == 0 {
		return "yard"
	}
	return strings.Join(parts, "-")
}

type shownDrawing struct{ title, svg string }

var (
	inText   = regexp.MustCompile(`(?s)<figure[^>]*>.*?</figure>`)
	inFigure = regexp.MustCompile(`(?s)<svg.*</svg>`)
)

// drawingsOf are the drawings of a page that stand in figures of their own, well-formed as files.
func drawingsOf(page []byte) []shownDrawing {
	var out []shownDrawing
	for _, f := range inText.FindAll(page, -1) {
		svg := inFigure.Find(f)
		if svg == nil || bytes.Contains(svg, []byte("<use")) {
			continue
		}
		d := shownDrawing{title: "A drawing", svg: string(svg)}
		var named struct {
			Title string `xml:"title"`
		}
		if xml.Unmarshal(svg, &named) == nil && named.Title != "" {
			d.title = named.Title
		}
		out = append(out, d)
	}
	return out
}
