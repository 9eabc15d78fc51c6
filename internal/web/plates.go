package web

import (
	"crypto/sha256"
	"encoding/hex"
	"html/template"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"undertray.example/undertray/draw/plate"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// plateStore keeps the plates of vehicles, one file each, as long as the server runs. A
// file's name is made from its content, so that a browser may keep it for ever.
type plateStore struct {
	mu    sync.Mutex
	build string // of the program's files, under which it is served
	made  map[string]*plateFile
}

// plateFile holds the plates of every answer there is on a vehicle as symbols.
type plateFile struct {
	file
	name    string
	numbers map[plate.Spec]int // of the symbols, from 1 on
}

// platesOf is the file of a vehicle's plates, nil where nothing of it is drawn. A plate that
// cannot be drawn was refused when the catalogue was read.
func (p *plateStore) platesOf(c *catalogue.Catalogue, v *fleet.Vehicle, in *message.Language) *plateFile {
	specs := map[plate.Spec]bool{}
	kinds := map[string]bool{}
	for i := range v.Positions {
		kinds[v.Positions[i].Kind] = true
	}
	for id := range kinds {
		k := c.Kind(id)
		for i := range k.Checks {
			for _, a := range k.Checks[i].Answers {
				if a.Plate != "" {
					specs[a.Plate] = true
				}
			}
		}
	}
	all := slices.Sorted(maps.Keys(specs))
	if len(all) == 0 {
		return nil
	}
	key := strings.Builder{}
	key.WriteString(v.Reader.Show(sample))
	key.WriteString(in.Code())
	for _, s := range all {
		key.WriteString("\n" + string(s))
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if f := p.made[key.String()]; f != nil {
		return f
	}
	f := newPlateFile(all, advise.PlateFigures(v.Reader, in))
	if p.made == nil {
		p.made = map[string]*plateFile{}
	}
	p.made[key.String()] = f
	return f
}

// sample tells readers of different units of length apart.
var sample = func() units.Quantity { q, _ := units.ParseAny("3.2 mm"); return q }()

func newPlateFile(all []plate.Spec, show plate.Show) *plateFile {
	f := &plateFile{numbers: map[plate.Spec]int{}}
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg">`)
	for i, s := range all {
		p, err := s.Draw(show)
		if err != nil {
			continue
		}
		f.numbers[s] = i + 1
		b.WriteString(p.Symbol("p" + strconv.Itoa(i+1)))
	}
	b.WriteString("</svg>")
	sum := sha256.Sum256([]byte(b.String()))
	f.name = "plates-" + hex.EncodeToString(sum[:6]) + ".svg"
	f.file = newFile(f.name, []byte(b.String()))
	return f
}

// address is where the plates of a vehicle are served; "" where there are none.
func (p *plateStore) address(f *plateFile) string {
	if f == nil {
		return ""
	}
	return "/assets/" + p.build + "/" + f.name
}

// plateFile finds a file of plates by its name: one that is made already, or that of any
// vehicle of the yard, as a page from before a new start asks for it.
func (s *Server) plateFile(name string, in *message.Language) (file, bool) {
	if !strings.HasPrefix(name, "plates-") {
		return file{}, false
	}
	find := func() (file, bool) {
		s.plates.mu.Lock()
		defer s.plates.mu.Unlock()
		for _, f := range s.plates.made {
			if f.name == name {
				return f.file, true
			}
		}
		return file{}, false
	}
	if f, ok := find(); ok {
		return f, true
	}
	y, err := s.yards.open()
	if err != nil {
		return file{}, false
	}
	for _, id := range y.IDs() {
		if v, err := y.Vehicle(id); err == nil {
			s.plates.platesOf(y.Catalogue.Of(v), v, in)
		}
	}
	return find()
}

// drawnPlate is a plate as it stands in a page; "" where there is none.
func drawnPlate(s plate.Spec, p units.Preferences, in *message.Language) template.HTML {
	if s == "" {
		return ""
	}
	drawn, err := s.Draw(advise.PlateFigures(p, in))
	if err != nil {
		return ""
	}
	return template.HTML(drawn.Inline())
}

// numbersOf are the numbers of the plates of a check's answers, 0 where one has none; nil
// where none has.
func (f *plateFile) numbersOf(c *catalogue.Check) []int {
	if f == nil || !slices.ContainsFunc(c.Answers, func(a catalogue.Answer) bool { return a.Plate != "" }) {
		return nil
	}
	out := make([]int, len(c.Answers))
	for i, a := range c.Answers {
		out[i] = f.numbers[a.Plate]
	}
	return out
}

// drawn puts the plates into a page that is sent whole.
func (p *roundPage) drawn(stages []visit.Stage, d *desk) {
	f := d.plates.platesOf(d.report.Catalogue, d.vehicle, d.in)
	for i := range stages {
		for j := range stages[i].Stops {
			for k, c := range stages[i].Stops[j].Checks {
				row := &p.Stages[i].Stops[j].Checks[k]
				for n, number := range f.numbersOf(c.Check) {
					if number > 0 {
						row.Answers[n].Plate, row.Drawn = d.plates.address(f)+"#p"+strconv.Itoa(number), true
					}
				}
			}
		}
	}
}
