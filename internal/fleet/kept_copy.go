package fleet

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"undertray/civil"
)

// clone returns a copy that can be folded on without changing k. Entries are
// shared: nobody changes them.
func (k *Kept) clone() *Kept {
	s := *k.state
	s.Readings, s.Notes, s.Wishes, s.Problems = slices.Clone(s.Readings), slices.Clone(s.Notes), slices.Clone(s.Wishes), slices.Clone(s.Problems)
	s.Open = slices.Clone(s.Open)
	s.Places = make(map[string]*Place, len(k.state.Places))
	out := &Kept{state: &s, last: k.last, offset: k.offset, open: map[*Place]bool{}, ahead: maps.Clone(k.ahead)}
	for id, p := range k.state.Places {
		s.Places[id] = p.clone()
		if k.open[p] {
			out.open[s.Places[id]] = true
		}
	}
	return out
}

func (p *Place) clone() *Place {
	out := *p
	out.Past = make([]*Part, len(p.Past))
	for i, part := range p.Past {
		other := *part
		out.Past[i] = &other
	}
	if p.Fitted != nil {
		part := *p.Fitted
		out.Fitted = &part
	}
	out.Notes, out.Left = slices.Clone(p.Notes), maps.Clone(p.Left)
	copies := make(map[*Finding]*Finding, len(p.Findings))
	out.Findings = make([]*Finding, len(p.Findings))
	for i, f := range p.Findings { // one before another of its day stands before it
		other := *f
		other.Before = copies[f.Before]
		copies[f], out.Findings[i] = &other, &other
	}
	out.Latest = make(map[string]*Finding, len(p.Latest))
	for check, f := range p.Latest {
		out.Latest[check] = copies[f]
	}
	return &out
}

// keptFile is a Kept as it is written.
type keptFile struct {
	From     string // see KeptFrom
	Last     inOrder
	Offset   float64
	Began    civil.Date
	Readings []Reading
	Places   map[string]keptPlace // that the journal says something of
	Notes    []*Entry
	Wishes   []*Entry
	Open     []*Entry `json:",omitempty"`
	Ahead    map[string]*Entry
	Problems []Problem
	More     int
}

type keptPlace struct {
	Fitted   *Part
	Past     []*Part         `json:",omitempty"`
	Findings []keptFinding   `json:",omitempty"`
	Latest   map[string]int  `json:",omitempty"` // places in Findings
	Notes    []*Entry        `json:",omitempty"`
	Open     bool            `json:",omitempty"`
	Aside    *Entry          `json:",omitempty"`
	Left     map[string]bool `json:",omitempty"`
}

type keptFinding struct {
	Found   *Found
	At      Moment
	Entry   string
	Settled string `json:",omitempty"`
	Before  *int   `json:",omitempty"` // place in Findings
}

// KeptFrom names all that a kept fold of a vehicle rests on but for the entries:
// the version of the folding and what the sheet says of its positions.
func KeptFrom(v *Vehicle) string {
	sum := sha256.New()
	fmt.Fprintln(sum, FoldVersion, v.ID)
	enc := json.NewEncoder(sum)
	for i := range v.Positions {
		_ = enc.Encode(v.Positions[i].ID) // a hash takes everything
		_ = enc.Encode(v.Positions[i].Part)
	}
	for i := range v.Openings {
		_ = enc.Encode(v.Openings[i].ID)
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// Encode writes a kept fold for DecodeKept.
func (k *Kept) Encode() ([]byte, error) {
	s := k.state
	out := keptFile{From: KeptFrom(s.Vehicle), Last: k.last, Offset: k.offset, Began: s.Began, Readings: s.Readings, Places: map[string]keptPlace{},
		Notes: s.Notes, Wishes: s.Wishes, Open: s.Open, Ahead: k.ahead, Problems: s.Problems, More: s.MoreProblems}
	for id, p := range s.Places {
		if p.untold() {
			continue
		}
		out.Places[id] = p.kept(k.open[p])
	}
	return json.Marshal(out)
}

// untold reports whether the journal says nothing of a place.
func (p *Place) untold() bool {
	return len(p.Past)+len(p.Findings)+len(p.Notes) == 0 && p.Aside == nil && p.Fitted != nil && p.Fitted.Entry == ""
}

func (p *Place) kept(open bool) keptPlace {
	out := keptPlace{Fitted: p.Fitted, Past: p.Past, Notes: p.Notes, Open: open, Aside: p.Aside, Left: p.Left, Findings: make([]keptFinding, len(p.Findings)), Latest: map[string]int{}}
	at := make(map[*Finding]int, len(p.Findings))
	for i, f := range p.Findings {
		at[f] = i
		out.Findings[i] = keptFinding{Found: f.Found, At: f.Moment, Entry: f.Entry, Settled: f.Settled}
		if f.Before != nil {
			before := at[f.Before]
			out.Findings[i].Before = &before
		}
	}
	for check, f := range p.Latest {
		out.Latest[check] = at[f]
	}
	return out
}

// DecodeKept reads what Encode wrote of a vehicle. The error says that it is of
// another sheet, another version of the folding, or damaged: it is then folded
// anew.
func DecodeKept(v *Vehicle, src []byte) (*Kept, error) {
	var in keptFile
	if err := json.Unmarshal(src, &in); err != nil {
		return nil, err
	}
	if in.From != KeptFrom(v) {
		return nil, fmt.Errorf("the kept fold of %s rests on something else", v.ID)
	}
	k := NewKept(v)
	s := k.state
	k.last, k.offset = in.Last, in.Offset
	if in.Ahead != nil {
		k.ahead = in.Ahead
	}
	s.Began, s.Readings, s.Notes, s.Wishes, s.Problems, s.MoreProblems = in.Began, in.Readings, in.Notes, in.Wishes, in.Problems, in.More
	s.Open = in.Open
	for id, from := range in.Places {
		p := s.Places[id]
		if p == nil || !p.take(from) {
			return nil, fmt.Errorf("the kept fold of %s is damaged at %s", v.ID, id)
		}
		if from.Open {
			k.open[p] = true
		}
	}
	return k, nil
}

// take fills a place with what was kept of it; false where it does not fit
// together.
func (p *Place) take(from keptPlace) bool {
	p.Fitted, p.Past, p.Notes, p.Aside, p.Left = from.Fitted, from.Past, from.Notes, from.Aside, from.Left
	for i, f := range from.Findings {
		out := &Finding{Found: f.Found, Moment: f.At, Entry: f.Entry, Settled: f.Settled}
		if f.Found == nil || f.Before != nil && (*f.Before < 0 || *f.Before >= i) {
			return false
		}
		if f.Before != nil {
			out.Before = p.Findings[*f.Before]
		}
		p.Findings = append(p.Findings, out)
	}
	for check, i := range from.Latest {
		if i < 0 || i >= len(p.Findings) {
			return false
		}
		p.Latest[check] = p.Findings[i]
	}
	return true
}
