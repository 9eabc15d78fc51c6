package together

import (
	"cmp"
	"context"
	"encoding/json"
	"maps"
	"slices"
	"sync"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Roll calls a large yard's vehicles in the order of their nearest deadlines. Its
// rows are worked out bit by bit, for a day, a catalogue, a sheet and what the
// journal held of the vehicle, and kept outside for the next process; a row that
// rests on anything else counts as not looked at. It may be used by several
// goroutines at once.
type Roll struct {
	Journal RollJournal

	mu    sync.Mutex
	from  RollFrom
	ids   []string         // of the yard as it was called last
	last  int64            // arrival up to which is known which vehicles were touched
	lines map[string]*line // by vehicle
	order []*line          // those of which anything is known, nearest deadline first
	soon  []string         // to be looked at first: something is new about them
	wait  []string         // to be looked at then; some of both may be fresh by now
	fresh [ranks]int       // lines by rank that rest on what is so now
	shown map[string]*Row  // of fresh lines, the rows that were shown last
}

// mostShown is how many rows are kept in memory: those of the parts that are looked at most.
const mostShown = 4 * Few

// RollJournal is what a roll needs of a journal that keeps its rows.
type RollJournal interface {
	// Mark names what the journal holds now, and returns the number of the last
	// arrival.
	Mark(ctx context.Context) (mark string, last int64, err error)
	// Still reports whether the journal holds what it held at a mark, and nothing
	// about a vehicle has arrived since, up to an arrival at least.
	Still(ctx context.Context, vehicle, mark string, upTo int64) (bool, error)
	// Touched returns the vehicles that entries are about which arrived after an
	// arrival, each with the number of its last one, and that of the last of all.
	Touched(ctx context.Context, since int64) (vehicles map[string]int64, last int64, err error)
	// FoldOnce folds a vehicle and does not keep it in memory.
	FoldOnce(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.Kept, error)
	// KeptRow returns the row that KeepRow kept of a vehicle last, or nil.
	KeptRow(vehicle string) []byte
	KeepRow(vehicle string, row []byte)
}

// RollFrom is what all rows of a roll are worked out from.
type RollFrom struct {
	Day       civil.Date
	Files     string // names settings and catalogue
	Catalogue *catalogue.Catalogue
	Sheets    Sheets
	Row       func(*advise.Report) *Row // RowOf
}

// Sheets are the vehicles of a yard, each read once.
type Sheets interface {
	IDs() []string
	// Once returns a vehicle without keeping it, or why it cannot be read.
	Once(id string) (*fleet.Vehicle, error)
	// SheetStamp names the state of a vehicle's sheet.
	SheetStamp(id string) string
}

// Rank is how a vehicle stands on the roll.
type Rank uint8

// The ranks, in the order in which they are called.
const (
	Parked Rank = iota // it must not be driven
	Now                // something is to be put right before the next drive
	Shut               // its sheet has mistakes: nobody knows
	Past               // something is past a limit, with time left
	Calm               // nothing is past a limit
	ranks
)

// Row is what the roll says of a vehicle.
type Row struct {
	Vehicle, Name, About string
	Rank                 Rank
	By                   civil.Date     // nearest deadline; zero where there is none
	Told                 []message.Text // the headline, and what else there is to it
	Basis, Reading       message.Text
	Worst                []RowPart // what needs the owner, at most a few
	More                 int       // how many further ones
}

// RowPart is one part that needs the owner.
type RowPart struct {
	ID, Name string
	Verdict  fleet.Verdict
}

// line is what a roll has in memory of a vehicle.
type line struct {
	id      string
	rank    Rank
	by      civil.Date
	stamp   string // of the sheet
	placed  bool   // it is in the order
	fresh   bool
	touched int // how often it was found touched
}

// keptRow is a row as it is kept.
type keptRow struct {
	From, Stamp, Mark string
	Row               Row
	Texts             []message.Kept // what the row says, first its basis and reading
}

// Call looks what has changed since the roll was called last: day, catalogue and
// settings, the list of vehicles, the journal.
func (r *Roll) Call(ctx context.Context, from RollFrom) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.lines == nil { // what is kept is compared with the journal vehicle by vehicle
		_, last, err := r.Journal.Mark(ctx)
		if err != nil {
			return err
		}
		r.last, r.lines = last, map[string]*line{}
	}
	touched, last, err := r.Journal.Touched(ctx, r.last)
	if err != nil {
		return err
	}
	r.last = last
	anew := r.from.Day != from.Day || r.from.Files != from.Files
	r.from = from
	r.list(from.Sheets.IDs())
	if anew {
		for _, l := range r.lines {
			r.stale(l)
		}
		r.queue()
		return nil
	}
	for _, id := range slices.Sorted(maps.Keys(touched)) {
		if l := r.lines[id]; l != nil {
			l.touched++
			r.stale(l)
			r.soon = append(r.soon, id)
		}
	}
	return nil
}

// list follows the list of vehicles. The caller holds mu.
func (r *Roll) list(ids []string) {
	if len(ids) == len(r.ids) && (len(ids) == 0 || &ids[0] == &r.ids[0]) {
		return
	}
	r.ids = ids
	there := make(map[string]bool, len(ids))
	for _, id := range ids {
		if there[id] = true; r.lines[id] == nil {
			r.lines[id] = &line{id: id}
			r.wait = append(r.wait, id)
		}
	}
	for id, l := range r.lines {
		if !there[id] {
			r.stale(l)
			r.unplace(l)
			delete(r.lines, id)
		}
	}
}

// queue has everything looked at again that is not fresh: what was nearest first.
// The caller holds mu.
func (r *Roll) queue() {
	r.soon, r.wait = nil, nil
	for _, l := range r.order {
		if !l.fresh {
			r.wait = append(r.wait, l.id)
		}
	}
	for _, id := range r.ids {
		if !r.lines[id].placed {
			r.wait = append(r.wait, id)
		}
	}
}

// Recheck looks which sheets have changed. Call goes by the journal and the list
// alone, and what is shown is looked at in any case.
func (r *Roll) Recheck() {
	r.mu.Lock()
	ids, sheets := r.ids, r.from.Sheets
	r.mu.Unlock()
	for _, id := range ids {
		r.recheck(id, sheets)
	}
}

func (r *Roll) recheck(id string, sheets Sheets) {
	stamp := sheets.SheetStamp(id)
	r.mu.Lock()
	defer r.mu.Unlock()
	if l := r.lines[id]; l != nil && l.fresh && l.stamp != stamp {
		r.stale(l)
		r.soon = append(r.soon, id)
	}
}

// Step looks at the next vehicle that waits; false where none does.
func (r *Roll) Step(ctx context.Context) (bool, error) {
	id, ok := r.next()
	if !ok {
		return false, nil
	}
	return true, r.look(ctx, id)
}

// next takes the next vehicle that waits.
func (r *Roll) next() (string, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, list := range []*[]string{&r.soon, &r.wait} {
		for len(*list) > 0 {
			id := (*list)[0]
			*list = (*list)[1:]
			if l := r.lines[id]; l != nil && !l.fresh {
				return id, true
			}
		}
	}
	return "", false
}

// look brings a vehicle's row up to date: the one that is kept where it rests on
// what is so now, else one that is worked out.
func (r *Roll) look(ctx context.Context, id string) error {
	r.mu.Lock()
	l, from, last := r.lines[id], r.from, r.last
	if l == nil || l.fresh || ctx.Err() != nil {
		r.mu.Unlock()
		return ctx.Err()
	}
	touched := l.touched
	r.mu.Unlock()
	stamp := from.Sheets.SheetStamp(id)
	row, err := r.kept(ctx, id, from, stamp, last)
	if row == nil && err == nil {
		row, err = r.work(ctx, id, from, stamp)
	}
	if err != nil {
		r.mu.Lock()
		r.wait = append(r.wait, id)
		r.mu.Unlock()
		return err
	}
	r.place(l, row, stamp, from, touched)
	return nil
}

// name names all that rows rest on but for sheets and journal.
func (f *RollFrom) name() string { return f.Day.String() + "|" + f.Files }

// filed returns what is kept of a vehicle's row, and whether it rests on the same
// day, files and sheet.
func (r *Roll) filed(id string, from RollFrom, stamp string) (k keptRow, ok bool) {
	ok = json.Unmarshal(r.Journal.KeptRow(id), &k) == nil && k.From == from.name() && k.Stamp == stamp &&
		k.Row.Vehicle == id && k.Row.Rank < ranks && len(k.Texts) == 2+len(k.Row.Told)
	if ok {
		k.Row.Basis, k.Row.Reading = message.Text(k.Texts[0]), message.Text(k.Texts[1])
		for i := range k.Row.Told {
			k.Row.Told[i] = message.Text(k.Texts[2+i])
		}
	}
	return k, ok
}

// kept returns the row that is kept of a vehicle, or nil where it rests on
// something else than was so up to an arrival. What came later, Call finds.
func (r *Roll) kept(ctx context.Context, id string, from RollFrom, stamp string, upTo int64) (*Row, error) {
	k, ok := r.filed(id, from, stamp)
	if !ok {
		return nil, nil
	}
	still, err := r.Journal.Still(ctx, id, k.Mark, upTo)
	if err != nil || !still {
		return nil, err
	}
	return &k.Row, nil
}

// work works a vehicle's row out and has it kept.
func (r *Roll) work(ctx context.Context, id string, from RollFrom, stamp string) (*Row, error) {
	mark, _, err := r.Journal.Mark(ctx) // before it is read: what arrives meanwhile has it looked at again
	if err != nil {
		return nil, err
	}
	v, err := from.Sheets.Once(id)
	if err != nil {
		return &Row{Vehicle: id, Name: id, Rank: Shut}, nil // who opens it reads why
	}
	fold, err := r.Journal.FoldOnce(ctx, v, from.Day)
	if err != nil {
		return nil, err
	}
	row := from.Row(advise.Of(from.Catalogue, fold.State(from.Day)))
	texts := []message.Kept{message.Kept(row.Basis), message.Kept(row.Reading)}
	for _, t := range row.Told {
		texts = append(texts, message.Kept(t))
	}
	if text, err := json.Marshal(keptRow{from.name(), stamp, mark, *row, texts}); err == nil {
		r.Journal.KeepRow(id, text)
	}
	return row, nil
}

// place puts a line where its row belongs.
func (r *Roll) place(l *line, row *Row, stamp string, from RollFrom, touched int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.lines[l.id] != l {
		return // it is no more
	}
	r.stale(l)
	r.unplace(l)
	l.rank, l.by, l.stamp, l.placed = row.Rank, row.By, stamp, true
	at, _ := slices.BinarySearchFunc(r.order, l, compareLines)
	r.order = slices.Insert(r.order, at, l)
	if l.touched != touched || from.name() != r.from.name() {
		r.soon = append(r.soon, l.id)
		return
	}
	l.fresh = true
	r.fresh[l.rank]++
}

// stale notes that a line rests on what is so no more. The caller holds mu.
func (r *Roll) stale(l *line) {
	delete(r.shown, l.id)
	if l.fresh {
		l.fresh = false
		r.fresh[l.rank]--
	}
}

// unplace takes a line out of the order. The caller holds mu.
func (r *Roll) unplace(l *line) {
	if !l.placed {
		return
	}
	if at, found := slices.BinarySearchFunc(r.order, l, compareLines); found {
		r.order = slices.Delete(r.order, at, at+1)
	}
	l.placed = false
}

// compareLines orders by rank, then by the nearest deadline, those without one
// last. What is past a limit and what is calm have their days in common.
func compareLines(a, b *line) int {
	none := func(l *line) int {
		if l.by.IsZero() {
			return 1
		}
		return 0
	}
	return cmp.Or(cmp.Compare(min(a.rank, Past), min(b.rank, Past)), cmp.Compare(none(a), none(b)), a.by.Compare(b.by),
		cmp.Compare(a.id, b.id))
}

// Stretch is a part of the roll.
type Stretch struct {
	Rows    []Row // nearest deadline first, all as of now
	From    int   // place on the roll of the first, from 0
	Next    int   // place after the last; 0 where the roll ends
	Of      int   // vehicles of the yard
	Waiting int   // of them not looked at yet, or not since something changed
	By      [ranks]int
}

// Stretch returns so many rows from a place of the roll on. What it shows is
// looked at first where that is needed, for as long as enough allows: a row that
// rests on what was so before is left out, and counted among those that wait.
func (r *Roll) Stretch(ctx, enough context.Context, from, most int) (*Stretch, error) {
	for range 3 { // what was looked at may have another place
		ids, sheets := r.stretch(from, most)
		for _, id := range ids {
			r.recheck(id, sheets)
		}
		err := r.lookAt(enough, r.waiting(ids))
		if enough.Err() != nil && ctx.Err() == nil {
			break
		}
		if err != nil {
			return nil, err
		}
	}
	return r.read(ctx, from, most)
}

// stretch returns the vehicles of a part of the roll, filled up with those that
// wait where nothing is known of so many, and those that something is new about.
func (r *Roll) stretch(from, most int) ([]string, Sheets) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var ids []string
	for _, l := range r.order[min(from, len(r.order)):min(from+most, len(r.order))] {
		ids = append(ids, l.id)
	}
	for _, id := range r.wait {
		if len(ids) >= most {
			break
		}
		if l := r.lines[id]; l != nil && !l.placed {
			ids = append(ids, id)
		}
	}
	return append(ids, r.soon[:min(most, len(r.soon))]...), r.from.Sheets
}

// waiting returns those of some vehicles that are not fresh.
func (r *Roll) waiting(ids []string) []string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return slices.DeleteFunc(ids, func(id string) bool { return r.lines[id] == nil || r.lines[id].fresh })
}

func (r *Roll) lookAt(ctx context.Context, ids []string) error {
	return side(ctx, len(ids), func(ctx context.Context, i int) error { return r.look(ctx, ids[i]) })
}

// read returns the rows of a part of the roll as they are.
func (r *Roll) read(ctx context.Context, from, most int) (*Stretch, error) {
	r.mu.Lock()
	out := &Stretch{From: from, Of: len(r.ids), Waiting: len(r.ids), By: r.fresh}
	for _, n := range r.fresh {
		out.Waiting -= n
	}
	end := min(from+most, len(r.order))
	if end < len(r.order) {
		out.Next = end
	}
	lines, now := slices.Clone(r.order[min(from, end):end]), r.from
	lines = slices.DeleteFunc(lines, func(l *line) bool { return !l.fresh })
	rows, were := make([]*Row, len(lines)), make([]line, len(lines))
	for i, l := range lines {
		rows[i], were[i] = r.shown[l.id], *l
	}
	r.mu.Unlock()
	err := side(ctx, len(lines), func(ctx context.Context, i int) (err error) {
		if rows[i] == nil {
			rows[i], err = r.row(ctx, lines[i].id, now)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	r.show(were, rows, now)
	out.Rows = make([]Row, len(rows))
	for i, row := range rows {
		out.Rows[i] = *row
	}
	return out, nil
}

// show keeps rows that were shown, of lines that are as they were.
func (r *Roll) show(were []line, rows []*Row, from RollFrom) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if from.name() != r.from.name() {
		return
	}
	if r.shown == nil || len(r.shown) > mostShown {
		r.shown = map[string]*Row{}
	}
	for i := range were {
		if l := r.lines[were[i].id]; l != nil && *l == were[i] {
			r.shown[l.id] = rows[i]
		}
	}
}

// row returns the row that a line was placed by, or a newer one.
func (r *Roll) row(ctx context.Context, id string, from RollFrom) (*Row, error) {
	stamp := from.Sheets.SheetStamp(id)
	if k, ok := r.filed(id, from, stamp); ok {
		return &k.Row, nil
	}
	return r.work(ctx, id, from, stamp) // it cannot be kept, or was changed just now
}
