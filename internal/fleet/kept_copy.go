package fleet

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// clone returns a copy that can be folded on without changing k. Entries are
// shared: nobody changes them.
func (k *Kept) clone() *Kept {
	s := *k.state
	s.Readings, s.Notes, s.Wishes, s.Problems = slices.Clone(s.Readings), slices.Clone(s.Notes), slices.Clone(s.Wishes),
		slices.Clone(s.Problems)
	s.Open, s.Aboard, s.Work = slices.Clone(s.Open), slices.Clone(s.Aboard), slices.Clone(s.Work)
	s.Pictures, s.Marks, s.Supplies = slices.Clone(s.Pictures), slices.Clone(s.Marks), slices.Clone(s.Supplies)
	s.Spells = slices.Clone(s.Spells) // their keys are never changed in place
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
	out.Notes, out.Left, out.Hand = slices.Clone(p.Notes), maps.Clone(p.Left), slices.Clone(p.Hand)
	out.Pictures = slices.Clone(p.Pictures)
	copies := make(map[*Finding]*Finding, len(p.Findings))
	out.Findings = make([]*Finding, len(p.Findings))
	together := make([]Finding, len(p.Findings))
	for i, f := range p.Findings { // one before another of its day stands before it
		together[i] = *f
		together[i].Before = copies[f.Before]
		copies[f], out.Findings[i] = &together[i], &together[i]
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
	Aboard   []*Entry `json:",omitempty"`
	Work     []*Entry `json:",omitempty"`
	Spells   []Spell  `json:",omitempty"`
	Pictures []*Entry `json:",omitempty"`
	Marks    []*Entry `json:",omitempty"`
	Supplies []*Entry `json:",omitempty"`
	Ahead    map[string]*Entry
	Problems []keptProblem
	More     int
}

// keptProblem is a problem whose texts any language can tell.
type keptProblem struct {
	Entry     string
	Date      civil.Date
	Msg, Hint message.Kept
}

type keptPlace struct {
	Fitted   *Part
	Past     []*Part         `json:",omitempty"`
	Findings int             `json:",omitempty"` // lines, see keptLines
	Latest   map[string]int  `json:",omitempty"` // places in Findings
	Hand     []*Finding      `json:",omitempty"`
	Notes    []*Entry        `json:",omitempty"`
	Pictures []*Entry        `json:",omitempty"`
	Open     bool            `json:",omitempty"`
	Aside    *Entry          `json:",omitempty"`
	Left     map[string]bool `json:",omitempty"`
	Bought   *Entry          `json:",omitempty"`
}

// KeptFrom names all that a kept fold of a vehicle rests on but for the entries:
// the version of the folding and what the sheet says of its positions, now and formerly.
func KeptFrom(v *Vehicle) string {
	sum := sha256.New()
	fmt.Fprintln(sum, FoldVersion, v.ID)
	if v.Counts == ByHours {
		fmt.Fprintln(sum, v.Counts)
	}
	enc := json.NewEncoder(sum)
	for i := range v.Openings {
		_ = enc.Encode(v.Openings[i].ID) // a hash takes everything
	}
	for i := range v.Positions {
		_ = enc.Encode(v.Positions[i].ID)
		_ = enc.Encode(v.Positions[i].Part)
	}
	for _, f := range v.Former {
		_ = enc.Encode(f)
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// Encode writes a kept fold for DecodeKept: JSON in one line, then the findings of
// the places by their ids.
func (k *Kept) Encode() ([]byte, error) {
	s := k.state
	out := keptFile{From: KeptFrom(s.Vehicle), Last: k.last, Offset: k.offset, Began: s.Began, Readings: s.Readings,
		Places: map[string]keptPlace{},
		Notes:  s.Notes, Wishes: s.Wishes, Open: s.Open, Aboard: s.Aboard, Work: s.Work, Spells: s.Spells,
		Pictures: s.Pictures, Marks: s.Marks, Supplies: s.Supplies,
		Ahead: k.ahead,
		More:  s.MoreProblems}
	for _, p := range s.Problems {
		out.Problems = append(out.Problems, keptProblem{p.Entry, p.Date, message.Kept(p.Msg), message.Kept(p.Hint)})
	}
	var lines []byte
	for _, id := range slices.Sorted(maps.Keys(s.Places)) {
		p := s.Places[id]
		if p.untold() {
			continue
		}
		at := make(map[*Finding]int, len(p.Findings))
		for i, f := range p.Findings {
			at[f] = i
		}
		place := keptPlace{Fitted: p.Fitted, Past: p.Past, Hand: p.Hand, Notes: p.Notes, Open: k.open[p],
			Pictures: p.Pictures, Bought: p.Bought,
			Aside: p.Aside, Left: p.Left, Findings: len(p.Findings), Latest: map[string]int{}}
		for check, f := range p.Latest {
			place.Latest[check] = at[f]
		}
		out.Places[id] = place
		var err error
		if lines, err = p.keptLines(lines, at); err != nil {
			return nil, err
		}
	}
	head, err := json.Marshal(out)
	return slices.Concat(head, []byte("\n"), lines), err
}

// untold reports whether the journal says nothing of a place.
func (p *Place) untold() bool {
	return len(p.Past)+len(p.Findings)+len(p.Hand)+len(p.Notes)+len(p.Pictures) == 0 && p.Aside == nil &&
		p.Bought == nil && p.Fitted != nil &&
		p.Fitted.Entry == ""
}

// keptLines appends findings as lines of fields parted by tabs, which is read many
// times as fast as JSON: the entry, the check, the answer, the figure, the day,
// the distance, what settled it, the place of the answer before it, and in JSON
// what else there is.
func (p *Place) keptLines(out []byte, at map[*Finding]int) ([]byte, error) {
	for _, f := range p.Findings {
		value, total, before, more := "", "", "", ""
		if f.Value != nil {
			value = f.Value.String()
		}
		if f.HasTotal {
			total = strconv.FormatFloat(f.Total, 'g', -1, 64)
		}
		if f.Before != nil {
			before = strconv.Itoa(at[f.Before])
		}
		if f.Note != "" || len(f.Attachments) > 0 || f.Counted != nil {
			text, err := json.Marshal(Found{Note: f.Note, Attachments: f.Attachments, Counted: f.Counted})
			if err != nil {
				return nil, err
			}
			more = string(text)
		}
		for _, field := range []string{f.Entry, f.Check, f.Answer, value, strconv.Itoa(f.Date.Days()), total,
			f.Settled, before} {
			out = append(append(out, field...), '\t')
		}
		out = append(append(out, more...), '\n')
	}
	return out, nil
}

// takeLine reads what keptLines wrote of one finding into f and found, which are
// empty.
func (p *Place) takeLine(line string, f *Finding, found *Found) error {
	var fields [9]string
	for i := range fields[:8] {
		var ok bool
		if fields[i], line, ok = strings.Cut(line, "\t"); !ok {
			return fmt.Errorf("%d fields", i)
		}
	}
	if line != "" {
		if err := json.Unmarshal([]byte(line), found); err != nil {
			return err
		}
	}
	found.Position, found.Check, found.Answer = p.Position.ID, fields[1], fields[2]
	f.Found, f.Entry, f.Settled = found, fields[0], fields[6]
	if fields[3] != "" {
		found.Value = new(units.Quantity)
		if err := found.Value.UnmarshalText([]byte(fields[3])); err != nil {
			return err
		}
	}
	days, err := strconv.Atoi(fields[4])
	if f.Date = civil.FromDays(days); err == nil && fields[5] != "" {
		f.HasTotal = true
		f.Total, err = strconv.ParseFloat(fields[5], 64)
	}
	if err == nil && fields[7] != "" {
		var before int
		if before, err = strconv.Atoi(fields[7]); err == nil && (before < 0 || before >= len(p.Findings)) {
			err = fmt.Errorf("%d is no finding before it", before)
		}
		if err == nil {
			f.Before = p.Findings[before]
		}
	}
	p.Findings = append(p.Findings, f)
	return err
}

// DecodeKept reads what Encode wrote of a vehicle. The error says that it is of
// another sheet, another version of the folding, or damaged: it is then folded
// anew.
func DecodeKept(v *Vehicle, src string) (*Kept, error) {
	var in keptFile
	head, left, _ := strings.Cut(src, "\n")
	if err := json.Unmarshal([]byte(head), &in); err != nil {
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
	s.Began, s.Readings, s.Notes, s.Wishes, s.MoreProblems = in.Began, in.Readings, in.Notes, in.Wishes, in.More
	for _, p := range in.Problems {
		s.Problems = append(s.Problems, Problem{p.Entry, p.Date, message.Text(p.Msg), message.Text(p.Hint)})
	}
	s.Open, s.Aboard, s.Work, s.Spells = in.Open, in.Aboard, in.Work, in.Spells
	s.Pictures, s.Marks = in.Pictures, in.Marks
	s.Supplies = in.Supplies
	for _, id := range slices.Sorted(maps.Keys(in.Places)) {
		from, p := in.Places[id], s.Places[id]
		if p == nil || !p.take(from, &left) {
			return nil, fmt.Errorf("the kept fold of %s is damaged at %s", v.ID, id)
		}
		if from.Open {
			k.open[p] = true
		}
	}
	return k, nil
}

// take fills a place with what was kept of it, its findings from the lines that
// are left; false where it does not fit together.
func (p *Place) take(from keptPlace, left *string) bool {
	p.Fitted, p.Past, p.Hand, p.Notes, p.Aside, p.Left = from.Fitted, from.Past, from.Hand, from.Notes,
		from.Aside, from.Left
	p.Pictures, p.Bought = from.Pictures, from.Bought
	if from.Findings < 0 || from.Findings > len(*left) {
		return false
	}
	n := from.Findings // made together, which costs a fraction of one by one
	findings, founds := make([]Finding, n), make([]Found, n)
	p.Findings = make([]*Finding, 0, n)
	for i := range n {
		line, rest, ok := strings.Cut(*left, "\n")
		if *left = rest; !ok || p.takeLine(line, &findings[i], &founds[i]) != nil {
			return false
		}
	}
	for check, i := range from.Latest {
		if i < 0 || i >= len(p.Findings) {
			return false
		}
		p.Latest[check] = p.Findings[i]
	}
	return true
}
