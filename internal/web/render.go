package web

import (
	"bytes"
	"compress/gzip"
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io/fs"
	"maps"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/units"
)

//go:embed templates
var templateFiles embed.FS

// Page is what every page has. The page's own struct embeds it.
type Page struct {
	Title    message.Text
	Yard     message.Text     // name of the yard
	Vehicles []*fleet.Vehicle // of the yard, for the header; of a large one only that of the page
	Vehicle  *fleet.Vehicle   // the page is about, or nil
	Here     string           // name of the page among the vehicle's
	On       civil.Date
	Query    string // what was searched for
	Locked   bool   // a pass-phrase guards the pages
	Person   string // whose device this is, where it was let in
	Reads    bool   // it writes nothing down
	Owner    bool   // it may let others in
	Demo     bool
	Stands   message.Text // what half-done work on the vehicle forbids
	Told     bool         // by the page's headline
	Alarm    []fault      // why no facts are taken now

	TakeOut string // address of what the page shows as files, "" for none

	Unscripted string // address of the same page for browsers without script, where it is another

	units units.Preferences // the yard's
}

// tab is one page about a vehicle, in the header.
type tab struct {
	Path string
	Name message.Text
	Here bool
}

// OnDay is the day that the page is about.
func (p Page) OnDay() message.Text { return told.Long(p.On) }

// Tabs are the pages about the vehicle; that of its belt runs only where it has one.
func (p Page) Tabs() []tab {
	var out []tab
	for _, t := range vehicleTabs {
		if t.Path == "run" && len(p.Vehicle.Runs) == 0 {
			continue
		}
		out = append(out, tab{"/" + t.Path, t.Name, t.Path == p.Here})
	}
	out[0] = tab{"", vehicleTabs[0].Name, p.Here == vehicleTabs[0].Path}
	return out
}

// layoutName is the template that the others stand in.
const layoutName = "layout.html"

// pages are the templates by page, each parsed with the layout and the parts
// when it is first asked for.
type pages map[string]*pageOf

// pageOf is one page, in the languages it was asked for in.
type pageOf struct {
	parse func() (*template.Template, error)
	in    sync.Map // by *message.Language: func() (*template.Template, error)
}

// loadPages parses the layout and the parts, and looks which pages there are.
func loadPages(a *assets) (pages, error) {
	drawn, err := marks()
	if err != nil {
		return nil, err
	}
	funcs := template.FuncMap{
		"mark":   func(v fleet.Verdict) template.HTML { return drawn[v] },
		"asset":  a.address,
		"slug":   slug,
		"number": func(i int) int { return i + 1 },
		"dict":   dict,
	}
	maps.Copy(funcs, wordFuncs(nil))
	layout, err := template.New(layoutName).Funcs(funcs).ParseFS(templateFiles, "templates/"+layoutName,
		"templates/parts.html")
	if err != nil {
		return nil, err
	}
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, err
	}
	all := pages{}
	for _, name := range names {
		base := path.Base(name)
		if base == layoutName || base == "parts.html" {
			continue
		}
		parse := func() (*template.Template, error) {
			t, err := layout.Clone()
			if err != nil {
				return nil, err
			}
			return t.ParseFS(templateFiles, name)
		}
		p := &pageOf{parse: parse}
		p.in.Store((*message.Language)(nil), sync.OnceValues(parse))
		all[strings.TrimSuffix(base, ".html")] = p
	}
	return all, nil
}

// set writes a page into b, in a language.
func (p pages) set(b *bytes.Buffer, name string, l *message.Language, page any) error {
	of, ok := p[name]
	if !ok {
		return fmt.Errorf("there is no template for page %s", name)
	}
	t, err := of.template(l)
	if err != nil {
		return err
	}
	return t.ExecuteTemplate(b, layoutName, page)
}

// slug returns the name of a verdict's mark.
func slug(v fleet.Verdict) string {
	if v == fleet.Unseen {
		return "unseen"
	}
	return strings.ReplaceAll(v.String(), " ", "-")
}

// sentence is advise.Sentence but for questions, which keep their mark.
func sentence(s string) string {
	if strings.HasSuffix(s, "?") {
		return say.Capital(s)
	}
	return say.Sentence(s)
}

// dict makes a map from names and values, to hand several to one part.
func dict(pairs ...any) (map[string]any, error) {
	if len(pairs)%2 != 0 {
		return nil, fmt.Errorf("dict: a name has no value")
	}
	m := map[string]any{}
	for i := 0; i < len(pairs); i += 2 {
		name, ok := pairs[i].(string)
		if !ok {
			return nil, fmt.Errorf("dict: %v is not a name", pairs[i])
		}
		m[name] = pairs[i+1]
	}
	return m, nil
}

// base fills in what every page has, from the yard as it was last read well.
func (s *Server) base(r *http.Request, title message.Text) Page {
	p := Page{Title: title, On: s.today(), Query: r.URL.Query().Get("q"), Locked: s.opt.Passphrase != "",
		Demo: s.opt.Demo}
	if q := r.URL.Query(); r.Method != http.MethodPost {
		q.Set(formatField, formatWhich)
		p.TakeOut = "?" + q.Encode()
	}
	in := came(r)
	if p.Locked && in == nil {
		return p
	}
	if in != nil {
		p.Person, p.Reads, p.Owner = in.person, !in.may.Includes(door.Write), in.may.Includes(door.All)
	}
	if s.opt.Journal != nil {
		p.Alarm = faults(s.opt.Journal.Alarm())
	}
	if y := s.yards.last(); y != nil {
		p.Yard, p.units = message.Name(y.Settings.Name), y.Settings.Units
		if !together.Large(y) {
			p.Vehicles = y.Vehicles()
		}
	}
	if p.Yard == "" {
		p.Yard = "The yard"
	}
	return p
}

// inLanguage is the language that a browser asks for, nil for English.
func (s *Server) inLanguage(r *http.Request) *message.Language {
	return s.languages.Chosen(r.Header.Get("Accept-Language"))
}

// render writes a page. It is set in memory first, so that a fault in the
// middle does not leave half a page.
func (s *Server) render(w http.ResponseWriter, r *http.Request, code int, name string, page any) error {
	var b bytes.Buffer
	if err := s.pages.set(&b, name, s.inLanguage(r), page); err != nil {
		if name == "error" {
			http.Error(w, "The program cannot set its own error page.", http.StatusInternalServerError)
			return nil
		}
		return fmt.Errorf("setting page %s: %w", name, err)
	}
	body := b.Bytes()
	if p, ok := page.(interface{ reads() units.Preferences }); ok {
		body = reword(body, p.reads())
	}
	return s.write(w, r, code, "text/html; charset=utf-8", body)
}

// reads is what the page is read in: the units of its vehicle, or the yard's.
func (p Page) reads() units.Preferences {
	if p.Vehicle != nil {
		return p.Vehicle.Reader
	}
	return p.units
}

// InHours reports whether the page's vehicle counts hours.
func (p Page) InHours() bool { return p.reads().Counter() == units.EngineHours }

// Meter is how what it counts by is called, at the head of a field or a column.
func (p Page) Meter() message.Text { return told.Meter(p.reads()).Capital() }

// Fact is how a type of entry is called on the vehicle's pages.
func (p Page) Fact(what any) message.Text {
	if of := fleet.EntryType(fmt.Sprint(what)); of != fleet.TypeOdometer {
		return message.Is(of)
	}
	return told.Meter(p.reads())
}

// asTyped are the elements whose text is kept as it is: what was typed or is sent back,
// and what is no text.
var asTyped = []string{"textarea", "option", "script", "style", "code", "title"}

// reword names the quantities in the text of a page in the reader's units first.
func reword(page []byte, p units.Preferences) []byte {
	if p.Plain() {
		return page
	}
	var out bytes.Buffer
	within := ""
	for len(page) > 0 {
		text, tag := page, []byte(nil)
		if at := bytes.IndexByte(page, '<'); at >= 0 {
			text, tag = page[:at], page[at:]
			if end := bytes.IndexByte(tag, '>'); end >= 0 {
				tag = tag[:end+1]
			}
		}
		page = page[len(text)+len(tag):]
		if within != "" {
			out.Write(text)
		} else {
			out.WriteString(p.Text(string(text)))
		}
		out.Write(tag)
		name, _, _ := strings.Cut(strings.Trim(string(tag), "</>"), " ")
		switch {
		case within != "" && name == within && bytes.HasPrefix(tag, []byte("</")):
			within = ""
		case within == "" && slices.Contains(asTyped, name) && !bytes.HasPrefix(tag, []byte("</")):
			within = name
		}
	}
	return out.Bytes()
}

// leastSqueezed is the size in bytes from which compressing is worth while.
const leastSqueezed = 2048

func (s *Server) write(w http.ResponseWriter, r *http.Request, code int, media string, body []byte) error {
	h := w.Header()
	h.Set("Content-Type", media)
	h.Add("Vary", "Accept, Accept-Encoding, Accept-Language")
	if len(body) >= leastSqueezed && takesGzip(r) {
		if small := squeeze(body, gzip.DefaultCompression); small != nil {
			h.Set("Content-Encoding", "gzip")
			body = small
		}
	}
	w.WriteHeader(code)
	_, err := w.Write(body)
	return quiet(err)
}

// answer writes a page, or its twin in JSON where that is asked for.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, name string, page, twin any) error {
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, twin)
	}
	return s.render(w, r, http.StatusOK, name, page)
}

func (s *Server) writeJSON(w http.ResponseWriter, r *http.Request, code int, v any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s.inLanguage(r).In(v)); err != nil {
		return err
	}
	return s.write(w, r, code, jsonType, b.Bytes())
}

// wantsJSON reports whether a request names JSON before HTML.
func wantsJSON(r *http.Request) bool {
	accept := r.Header.Get("Accept")
	j, h := strings.Index(accept, jsonType), strings.Index(accept, "text/html")
	return j >= 0 && (h < 0 || j < h)
}
